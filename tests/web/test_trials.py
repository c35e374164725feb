"""Trials: planned, kept as drawn, read from the book, what went otherwise noted."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Nursery, Trial
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def typed(dome: Dome) -> dict[str, str]:
    """What a person types, with a day long enough ago for all to be known."""
    return {
        "event_id": str(uuid7()),
        "name": "Film or rubber",
        "arm_1": "stretch film",
        "arm_2": "rubber strip",
        "way": "beside",
        "domes": str(dome.pk),
        "stage": "firm",
        "difference": "0.15",
        "fillings": "1",
        "begins_on": "2026-02-14",
    }


def test_without_trials_the_page_says_what_they_are_for_and_has_one_button(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/findings/trials/"))
    assert "A trial puts a question to your grafts" in text
    assert text.count("button main") == 1


def test_without_a_dome_it_says_where_to_add_one(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/findings/trials/new/"))
    assert "holds no dome yet" in text
    assert 'href="/domes/new/"' in text


def test_a_look_says_what_it_can_tell_and_writes_nothing(client: Client, typed: dict[str, str]) -> None:
    text = check_page(client.post("/findings/trials/new/", typed))
    assert "With 5 grafts of each this trial would tell" in text
    assert "grafts of each to tell them apart in 80 of 100" in text
    assert "most likely leave the question open" in text
    assert 'value="rubber strip"' in text
    assert not Trial.objects.exists()


def test_the_lot_is_drawn_kept_and_shown_by_letter_and_hatching(client: Client, typed: dict[str, str]) -> None:
    for _ in range(2):
        text = check_page(client.post("/findings/trials/new/", {**typed, "keep": "1"}, follow=True))
    kept = Trial.objects.get()
    [block] = kept.layout
    assert sorted(block["arms"]) == [0] * 5 + [1] * 5
    assert "Nothing of it is grafted yet: print the bench sheet" in text
    for place, arm in zip(block["places"], block["arms"], strict=True):
        assert f"place {place}: {'AB'[arm]}, {kept.arms[arm]}; not grafted yet" in text
    trays = text.split('class="trays"')[1]
    letters = re.findall(r'<text class="middle" y="[^"]*" font-size="[^"]*">([A-D])</text>', trays)
    assert letters == ["AB"[arm] for arm in block["arms"]]
    hatched = re.findall(r'<path class="hatch" d="([^"]*)"', trays)
    assert [bool(path) for path in hatched] == [arm == 1 for arm in block["arms"]]
    assert f"/findings/trials/{kept.pk}/sheet.pdf" in text


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "This field is required"),
        ({"arm_2": " Stretch  film "}, "have the same name"),
        ({"domes": ""}, "Tick at least one dome"),
        ({"fillings": "13"}, "less than or equal to 12"),
        ({"begins_on": "yesterday"}, "no day that exists"),
        ({"cultivars": "Red Tran"}, "The book holds no Red Tran"),
        ({"grafts": "1"}, "too few to set them side by side"),
        ({"way": "whole"}, "Choose more domes"),
        ({"stage": "blooming"}, "not one of the available choices"),
    ],
)
def test_what_cannot_be_is_refused_beside_what_was_typed(client: Client, typed: dict[str, str], wrong: dict[str, str], words: str) -> None:
    sent = {name: text for name, text in {**typed, **wrong}.items() if text or name != "domes"}  # no box ticked sends nothing
    for keep in ("", "1"):
        response = client.post("/findings/trials/new/", {**sent, "keep": keep})
        assert response.status_code == 422
        text = check_page(response)
        assert words in text
        assert 'value="stretch film"' in text
    assert not Trial.objects.exists()


def test_a_name_that_is_taken_is_refused_at_the_name(client: Client, typed: dict[str, str]) -> None:
    client.post("/findings/trials/new/", {**typed, "keep": "1"})
    response = client.post("/findings/trials/new/", {**typed, "event_id": str(uuid7()), "keep": "1"})
    assert response.status_code == 422
    assert "already exists" in check_page(response)
    assert Trial.objects.count() == 1


def test_cultivars_are_read_by_name(client: Client, typed: dict[str, str], cultivar: Cultivar, now: Any) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    text = check_page(client.post("/findings/trials/new/", {**typed, "cultivars": "red tarn, Ash Gill", "keep": "1"}, follow=True))
    assert Trial.objects.get().cultivars == [str(cultivar.pk), str(other.pk)]
    assert "<td>Ash Gill, Red Tarn</td>" in text


def test_from_the_plan_to_the_verdict(
    client: Client, typed: dict[str, str], dome: Dome, graft: Callable[..., Written], write: Callable[..., Any]
) -> None:
    """A whole trial: drawn, grafted in the sheet's order, scored on a round, judged."""
    client.post("/findings/trials/new/", {**typed, "keep": "1"})
    kept = Trial.objects.get()
    assert client.get(f"/findings/trials/{kept.pk}/sheet.pdf").content.startswith(b"%PDF")
    plants = graft(10, dome=dome.pk).plants
    for plant, arm in zip(plants, kept.layout[0]["arms"], strict=True):
        write("scored", plant, days=31, sign="firm", answer="yes" if arm else "no")
    text = check_page(client.get(f"/findings/trials/{kept.pk}/"))
    assert "rubber strip takes better than stretch film: 5 of 5 took with rubber strip and 0 of 5 took with stretch film" in text
    assert "all is known" in text
    assert "10 of 10 known" in text
    assert f'href="/plants/{plants[0].pk}/"' in text
    assert "rubber strip takes better than stretch film" in check_page(client.get("/findings/trials/"))


def test_the_effect_may_be_asked_to_differ_from_dome_to_dome(
    client: Client, trial: Callable[..., Trial], dome: Dome, graft: Callable[..., Written], write: Callable[..., Any]
) -> None:
    kept = trial()
    for plant in graft(4, dome=dome.pk).plants:
        write("scored", plant, days=31, sign="firm", answer="yes")
    plain = check_page(client.get(f"/findings/trials/{kept.pk}/"))
    differing = check_page(client.get(f"/findings/trials/{kept.pk}/?differ=1"))
    assert "All domes speak of one difference" in plain
    assert "Each dome&#x27;s own difference is one observation" in differing or "Each dome's own difference is one observation" in differing
    assert client.get(f"/findings/trials/{kept.pk}/?differ=maybe").status_code == 422


def test_while_it_runs_the_counts_are_no_verdict(
    client: Client, trial: Callable[..., Trial], dome: Dome, graft: Callable[..., Written], write: Callable[..., Any]
) -> None:
    begins = today_at_nursery() - timedelta(days=40)
    kept = trial(begins_on=begins)
    days = (begins - timezone.datetime(2026, 2, 14).date()).days
    plant = graft(4, dome=dome.pk, days=days).plants[0]
    write("scored", plant, days=days + 31, sign="firm", answer="yes")
    text = check_page(client.get(f"/findings/trials/{kept.pk}/"))
    assert "1 of 4 known; 3 not known yet" in text
    assert "Go on: " in text
    assert "Not a verdict" in text


def test_a_place_is_left_out_with_its_reason_and_counted_again(client: Client, trial: Callable[..., Trial]) -> None:
    kept = trial()
    there = f"/findings/trials/{kept.pk}/"
    text = check_page(client.post(f"{there}out/", {"block": "0", "place": "2", "why": "the wrong film"}, follow=True))
    assert "Noted: Dome 1, place 2 is left out." in text
    assert "place 2: B, rubber; left out (the wrong film)" in text
    text = check_page(client.post(f"{there}back/", {"block": "0", "place": "2"}, follow=True))
    assert "place 2: B, rubber; not grafted yet" in text
    assert Trial.objects.get().left_out == []


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"block": "0", "place": "9", "why": "gone"}, "has no place 9"),
        ({"block": "4", "place": "1", "why": "gone"}, "not one of the available choices"),
        ({"block": "0", "place": "1", "why": ""}, "This field is required"),
        ({"block": "0", "place": "", "why": "gone"}, "Give the place, or tick all places of the dome."),
        ({"block": "0", "place": "1", "whole": "on", "why": "gone"}, "tick all places of the dome; not both"),
    ],
)
def test_a_deviation_that_cannot_be_is_refused(client: Client, trial: Callable[..., Trial], sent: dict[str, str], words: str) -> None:
    kept = trial()
    response = client.post(f"/findings/trials/{kept.pk}/out/", sent)
    assert response.status_code == 422
    assert words in check_page(response)
    assert client.post(f"/findings/trials/{kept.pk}/back/", {"block": "x", "place": "1"}).status_code == 422
    assert Trial.objects.get().left_out == []


def test_a_trial_is_put_away_and_brought_back(client: Client, trial: Callable[..., Trial]) -> None:
    kept = trial()
    text = check_page(client.post(f"/findings/trials/{kept.pk}/away/", follow=True))
    assert "Put away: 1" in text
    text = check_page(client.post(f"/findings/trials/{kept.pk}/away/", {"back": "1"}, follow=True))
    assert "Put away: 1" not in text
    assert not Trial.objects.get().retired


def test_cautions_stand_where_mats_and_blades_are_planned(client: Client, typed: dict[str, str], trial: Callable[..., Trial]) -> None:
    for address in ("/findings/trials/new/", f"/findings/trials/{trial().pk}/"):
        text = check_page(client.get(address))
        assert "residual-current circuit" in text
        assert "cut away from hand and body" in text


def test_a_trial_of_nobody_is_not_in_the_book(client: Client, nursery: Nursery) -> None:
    for end in ("", "sheet.pdf"):
        assert client.get(f"/findings/trials/{uuid7()}/{end}").status_code == 404


def test_names_with_marks_in_them_stay_text(client: Client, trial: Callable[..., Trial]) -> None:
    kept = trial(name="<b>film</b>", arms=["<i>", "&"])
    text = check_page(client.get(f"/findings/trials/{kept.pk}/"))
    assert "<b>film</b>" not in text
    assert "&lt;b&gt;film&lt;/b&gt;" in text


def test_only_domes_with_room_are_ticked(client: Client, dome: Dome, graft: Callable[..., Written], now: Any) -> None:
    save_noun(Dome, {"name": "Dome 2"}, now=now)
    graft(9, dome=dome.pk)
    ticked = re.findall(r'name="domes" value="([^"]*)"[^>]* checked', check_page(client.get("/findings/trials/new/")))
    assert ticked == [str(Dome.objects.get(name="Dome 2").pk)]


def test_a_whole_dome_is_left_out_by_its_own_box(client: Client, trial: Callable[..., Trial]) -> None:
    kept = trial()
    client.post(f"/findings/trials/{kept.pk}/out/", {"block": "0", "place": "", "whole": "on", "why": "it fell over"})
    assert len(Trial.objects.get().left_out) == 4
