"""A name worth keeping: how to stage a few grafts."""

from __future__ import annotations

from datetime import datetime

import pytest
from django.test import Client

from nursery_clock import today_at_nursery
from scionary.answers.growing_year import year_at
from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, Event, Nursery, Wish
from web.rendered import check_page

pytestmark = pytest.mark.django_db
ASKED = {"cultivar": "Red Tarn", "scions": "3", "days": "2", "domes": "2", "methods": "1"}


def test_without_a_question_the_page_says_what_it_is_for(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/plan/rare/"))
    assert "Three pieces of wood of a tree that nobody else has" in text
    assert text.count('class="main"') == 1


def test_each_staging_has_its_chance_in_words_and_its_costs(client: Client, cultivar: Cultivar) -> None:
    before = Event.objects.count()
    text = check_page(client.get("/plan/rare/", ASKED))
    assert "3 grafts of Red Tarn, " in text
    for name in ("Everything at once", "Split over 2 days", "Split over 2 domes", "Split over 2 days and 2 domes"):
        assert f'aria-label="{name}: in ' in text
    assert "2 domes to look after for a few grafts each." in text
    assert "of about 0.5 in log odds (project default, unsourced)" in text
    assert Event.objects.count() == before


def test_a_new_name_is_taken_for_one_like_the_others(client: Client, cultivar: Cultivar) -> None:
    text = check_page(client.get("/plan/rare/", {**ASKED, "cultivar": "Slate Veil"}))
    assert "3 grafts of Slate Veil" in text
    assert "Of this cultivar nothing is counted at this stage" in text


def test_a_name_nearly_in_the_book_is_asked_about(client: Client, cultivar: Cultivar) -> None:
    response = client.get("/plan/rare/", {**ASKED, "cultivar": "Red Tran"})
    assert response.status_code == 422
    assert "Did you mean Red Tarn?" in check_page(response)
    assert "3 grafts of Red Tran" in check_page(client.get("/plan/rare/", {**ASKED, "cultivar": "Red Tran", "anyway": "on"}))


@pytest.mark.parametrize(("field", "typed"), [("scions", "0"), ("scions", "many"), ("days", "7"), ("domes", ""), ("methods", "-1")])
def test_what_cannot_be_is_refused_beside_its_field(client: Client, cultivar: Cultivar, field: str, typed: str) -> None:
    response = client.get("/plan/rare/", {**ASKED, field: typed})
    assert response.status_code == 422
    text = check_page(response)
    assert 'class="errorlist"' in text
    assert 'value="Red Tarn"' in text


def test_only_a_wish_for_a_few_leads_here(client: Client, cultivar: Cultivar, nursery: Nursery, now: datetime) -> None:
    season = year_at(today_at_nursery(), nursery)
    wish = save_noun(Wish, {"cultivar": cultivar, "wanted": 5, "season": season}, now=now)
    assert "/plan/rare/?cultivar=Red%20Tarn" in check_page(client.get("/plan/"))
    save_noun(Wish, {"wanted": 6}, now=now, pk=wish.pk)
    assert "/plan/rare/" not in check_page(client.get("/plan/"))
    assert 'value="Red Tarn"' in check_page(client.get("/plan/rare/?cultivar=Red%20Tarn"))
