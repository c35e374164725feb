"""Plan: wishes, what they need, the way to the bench."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.growing_year import year_at
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import AcceptedPlan, Cultivar, Nursery, RootstockLot, Wish
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def season(nursery: Nursery) -> int:
    return year_at(today_at_nursery(), nursery)


@pytest.fixture
def wish(client: Client, cultivar: Cultivar, season: int) -> Wish:
    _add(client, season)
    return Wish.objects.get()


def _add(client: Client, season: int, **typed: str) -> str:
    fields = {"event_id": str(uuid7()), "wanted": "20", "cultivar": "Red Tarn", "season": str(season), "assurance": "0.9", **typed}
    return check_page(client.post("/plan/add/", fields, follow=True))


def test_without_wishes_the_page_says_what_it_is_for_and_has_one_button(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/plan/"))
    assert "Write down what you want to end with" in text
    assert text.count('class="main"') == 1


def test_a_wish_is_answered_with_grafts_and_why(client: Client, wish: Wish) -> None:
    text = check_page(client.get("/plan/"))
    assert "20 Red Tarn, nine years in ten: graft " in text
    assert "Nothing is counted for this cultivar yet" in text
    assert "Find the weeks</a>" in text


def test_the_same_wish_sent_twice_is_one_wish(client: Client, cultivar: Cultivar, season: int) -> None:
    ident = str(uuid7())
    for _ in range(2):
        _add(client, season, event_id=ident)
    assert Wish.objects.count() == 1


def test_what_is_short_is_named_and_drawn_in_words(client: Client, wish: Wish) -> None:
    save_noun(RootstockLot, {"name": "24-B", "count": 2}, now=timezone.now())
    text = check_page(client.get("/plan/"))
    assert "2 there" in text
    assert " short" in text
    assert 'class="short"' in text


def test_a_wish_is_changed(client: Client, wish: Wish, season: int) -> None:
    fields = {"wanted": "5", "cultivar": "Red Tarn", "season": str(season), "assurance": "0.8"}
    text = check_page(client.post(f"/plan/wish/{wish.pk}/", fields, follow=True))
    assert "5 Red Tarn, eight years in ten" in text
    assert Wish.objects.get().pk == wish.pk


def test_a_wish_is_taken_away_and_brought_back(client: Client, wish: Wish) -> None:
    gone = check_page(client.post(f"/plan/wish/{wish.pk}/away/", follow=True))
    assert "Taken away: 1" in gone
    assert "20 Red Tarn, nine years" not in gone
    assert "20 Red Tarn, nine years" in check_page(client.post(f"/plan/wish/{wish.pk}/away/", {"back": "1"}, follow=True))


def test_the_plan_is_taken_to_the_bench(client: Client, wish: Wish, season: int) -> None:
    text = check_page(client.post("/plan/take/", {"season": str(season)}, follow=True))
    plan = AcceptedPlan.objects.get()
    assert plan.season == season
    assert f"0 of {plan.lines[0]['grafts']}" in text


def test_a_plan_without_wishes_is_refused_in_words(client: Client, nursery: Nursery) -> None:
    response = client.post("/plan/take/")
    assert response.status_code == 422
    assert "no wish to plan for" in response.content.decode()


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("wanted", "0", "greater than"),
        ("wanted", "", "Give a number"),
        ("cultivar", "", "Name the cultivar"),
        ("assurance", "2", "valid choice"),
    ],
)
def test_bad_input_keeps_the_form(client: Client, nursery: Nursery, season: int, field: str, typed: str, told: str) -> None:
    fields = {"wanted": "20", "cultivar": "Red Tarn", "season": str(season), "assurance": "0.9", "note": "for the open day", field: typed}
    response = client.post("/plan/add/", fields)
    assert response.status_code == 422
    assert told in response.context["form"].errors[field][0]
    assert "for the open day" in response.content.decode()
    assert not Wish.objects.exists()


@pytest.mark.parametrize("season", ["next", "99", "20266"])
def test_a_season_that_cannot_be_is_refused(client: Client, nursery: Nursery, season: str) -> None:
    assert client.get("/plan/", {"season": season}).status_code == 422


def test_a_wish_of_nobody_is_404_in_words(client: Client, nursery: Nursery) -> None:
    response = client.get(f"/plan/wish/{uuid7()}/")
    assert response.status_code == 404
    assert "no such wish" in response.content.decode()


def test_several_wishes_are_added_at_once_or_none(client: Client, cultivar: Cultivar, season: int) -> None:
    fields = {"event_id": str(uuid7()), "season": str(season), "assurance": "0.8"}
    refused = client.post("/plan/add/lines/", {**fields, "wishes": "20 Red Tarn at 30\nsome Orrery"})
    assert refused.status_code == 422
    assert "line 2, &#x27;some Orrery&#x27;" in check_page(refused)
    assert not Wish.objects.exists()
    text = check_page(client.post("/plan/add/lines/", {**fields, "wishes": "20 Red Tarn at 30\n3 Orrery"}, follow=True))
    assert "Wished: 2 wishes." in text
    assert [(str(wish.worth), wish.assurance) for wish in Wish.objects.order_by("-wanted")] == [("30.00", 0.8), ("None", 0.8)]


def test_a_day_that_is_past_is_told(client: Client, cultivar: Cultivar, season: int) -> None:
    assert "is wanted is past" in _add(client, season, by_when="2020-03-01")
    assert "is wanted is past" not in _add(client, season, by_when=f"{today_at_nursery().year + 1}-03-01")
