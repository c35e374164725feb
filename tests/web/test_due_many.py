"""Due of a nursery with very many domes: a page that a phone can load, and all of it one tap further."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from scionary.book.commands import GraftSetup, save_noun, write_grafts
from scionary.book.models import Cultivar, Dome, Method
from web.rendered import check_page

pytestmark = pytest.mark.django_db
DOMES = 20


@pytest.fixture
def many(cultivar: Cultivar, method: Method) -> None:
    """Twenty domes grafted eight days ago: two lines each."""
    now = timezone.now()
    for number in range(DOMES):
        dome = save_noun(Dome, {"name": f"Dome {number + 1}"}, now=now)
        write_grafts(GraftSetup(cultivar.pk, now - timedelta(days=8), method=method.pk, dome=dome.pk), 1, now=now)


def test_the_page_holds_the_first_lines_and_leads_to_all(client: Client, many: None) -> None:
    text = check_page(client.get("/due/"))
    assert f"{2 * DOMES - 5} more" in text
    assert text.count(": top up the water") + text.count(": look in: water") < 60
    assert f"All {2 * DOMES} lines" in text
    everything = check_page(client.get("/due/?all=1"))
    assert f"All {2 * DOMES} lines" not in everything
    for number in range(DOMES):
        assert f"Dome {number + 1}: top up the water" in everything


def test_a_few_domes_are_all_on_the_page(client: Client, cultivar: Cultivar, method: Method, dome: Dome) -> None:
    now = timezone.now()
    write_grafts(GraftSetup(cultivar.pk, now - timedelta(days=8), method=method.pk, dome=dome.pk), 1, now=now)
    assert "?all=1" not in check_page(client.get("/due/"))
