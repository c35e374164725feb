"""Measuring stems in the yard: one after another, typed or told by a slot of the card, each an event that can be undone."""

from __future__ import annotations

from html import unescape
from typing import Any

import pytest
from django.test import Client

from scionary.answers.measured_stems import measured_row
from scionary.book.commands import save_noun
from scionary.book.models import Event, RootstockLot, ScionBag
from web.rendered import check_page


def stems(lot: Any) -> list[tuple[int, float | None, bool]]:
    return [(stem.number, stem.thickness_mm, stem.used) for stem in measured_row(lot).stems]


def sent(client: Client, lot: RootstockLot, **fields: Any) -> Any:
    return client.post(f"/bench/measure/lots/{lot.pk}/", {"number": "1", "thickness": "7.2", "unit": "mm", **fields})


def test_a_stem_is_measured_and_the_next_number_stands_there(client: Client, lot: RootstockLot) -> None:
    answer = sent(client, lot)
    assert answer.status_code == 303
    text = check_page(client.get(answer["Location"]))
    assert 'name="number" value="2"' in text
    assert stems(lot) == [(1, 7.2, False)]
    assert Event.objects.filter(kind="measured", subjects__key=lot.key).count() == 1


def test_a_form_sent_twice_measures_once(client: Client, lot: RootstockLot) -> None:
    ident = "019b0000-0000-7000-8000-000000000001"
    for _ in range(2):
        sent(client, lot, event_id=ident)
    assert Event.objects.filter(kind="measured").count() == 1


def test_measured_again_the_later_holds_and_undo_brings_the_earlier_back(client: Client, lot: RootstockLot) -> None:
    sent(client, lot)
    sent(client, lot, thickness="9/32 in")
    assert stems(lot)[0][1] == pytest.approx(7.144, abs=1e-3)
    check_page(client.post("/undo/", {"event": client.session["last_written"]["events"], "next": "/bench/"}, follow=True))
    assert stems(lot) == [(1, 7.2, False)]


def test_a_slot_of_the_card_tells_the_middle_between_it_and_the_next(client: Client, lot: RootstockLot) -> None:
    sent(client, lot, thickness="", slot="7.5")
    assert stems(lot) == [(1, 7.25, False)]


def test_what_looks_like_inches_is_asked_about_and_taken_as_typed_only_when_told_so(client: Client, lot: RootstockLot) -> None:
    answer = sent(client, lot, thickness="0.25")
    assert answer.status_code == 422
    text = unescape(check_page(answer))
    assert "Were inches meant, 6.3 mm?" in text
    assert "Yes: 6.35 mm" in text
    assert stems(lot) == []
    sent(client, lot, thickness="0.25", sure="0.25")
    assert stems(lot) == [(1, 0.25, False)]


@pytest.mark.parametrize("wrong", [{"thickness": ""}, {"thickness": "thick"}, {"number": "0"}, {"slot": "99"}, {"thickness": "-1"}])
def test_what_cannot_be_is_refused_and_nothing_is_written(client: Client, lot: RootstockLot, wrong: dict[str, str]) -> None:
    assert sent(client, lot, **wrong).status_code == 422
    assert not Event.objects.filter(kind="measured").exists()


def test_a_stem_that_is_gone_is_matched_no_more_until_it_is_measured_again(client: Client, lot: RootstockLot) -> None:
    sent(client, lot)
    client.post(f"/bench/measure/lots/{lot.pk}/used/", {"number": "1"})
    assert stems(lot) == [(1, 7.2, True)]
    assert measured_row(lot).there == []
    sent(client, lot, thickness="7.4")
    assert stems(lot) == [(1, 7.4, False)]


def test_sticks_of_a_bag_are_measured_alike(client: Client, cultivar: Any, now: Any) -> None:
    bag = save_noun(ScionBag, {"name": "Bag 1", "cultivar": cultivar, "sticks": 12}, now=now)
    assert client.post(f"/bench/measure/bags/{bag.pk}/", {"number": "3", "thickness": "3.1", "unit": "mm"}).status_code == 303
    assert stems(bag) == [(3, 3.1, False)]


def test_no_other_rows_are_measured(client: Client, lot: RootstockLot) -> None:
    assert client.get(f"/bench/measure/trees/{lot.pk}/").status_code == 404
