"""scionary trial, and plan --rare: the same answers as the pages."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from scionary.book.models import Cultivar, Dome, Trial

pytestmark = pytest.mark.django_db
NEW = ("trial", "new", "Film or rubber", "--arm", "stretch film", "--arm", "rubber strip", "--stage", "firm", "--begins", "2026-02-14")
Running = Callable[..., Any]


def test_a_look_says_what_it_can_tell_and_keeps_nothing(scionary: Running, dome: Dome) -> None:
    said = scionary(*NEW, "--look")
    assert said.code == 0
    assert "With 5 grafts of each this trial would tell" in said.out
    assert "Look: As it stands it would most likely leave the question open" in said.out
    assert scionary(*NEW, "--look", "--json").json["an_arm"] == 5
    assert not Trial.objects.exists()


def test_a_trial_from_the_lot_to_the_verdict(scionary: Running, dome: Dome, cultivar: Cultivar, tmp_path: Path) -> None:
    made = scionary(*NEW, "--seed", "20", "--only", "red tarn", "--json").json
    arms = [place["arm"] for place in made["places"]]
    assert (made["state"], made["seed"], sorted(arms)) == ("not begun", 20, ["rubber strip"] * 5 + ["stretch film"] * 5)
    assert scionary("trial", "sheet", "film or rubber", "--out", str(tmp_path / "s.pdf")).code == 0
    words = pypdfium2.PdfDocument(tmp_path / "s.pdf")[0].get_textpage().get_text_range()
    assert f"1 {'AB'[arms[0] == 'rubber strip']}" in " ".join(words.split())
    scionary("bench", "Red Tarn", "10", "--dome", "Dome 1", "--on", "2026-02-14")
    seen = [f"{place}={'firm' if arm == 'rubber strip' else 'lost'}" for place, arm in enumerate(arms, 1)]
    scionary("round", "Dome 1", *seen, "--on", "2026-03-20")
    said = scionary("trial", "show", "Film or rubber", "--places", "--on", "2026-04-30").out
    assert "rubber strip takes better than stretch film: 5 of 5 took with rubber strip" in said
    assert "10 of 10 known" in said
    assert "did not take" in said
    assert "rubber strip takes better" in scionary("trial", "list", "--on", "2026-04-30").out


def test_show_may_let_the_effect_differ(scionary: Running, trial: Callable[..., Trial]) -> None:
    trial()
    plain, differ = (scionary("trial", "show", "Film or rubber", *more, "--json").json for more in ((), ("--differ",)))
    assert (plain["interaction"], differ["interaction"]) == (False, True)


def test_a_place_is_skipped_with_its_reason_and_counted_again(scionary: Running, trial: Callable[..., Trial]) -> None:
    trial()
    assert "1 left out" in scionary("trial", "skip", "Film or rubber", "dome 1", "3", "--why", "the wrong film").out
    assert Trial.objects.get().left_out[0]["why"] == "the wrong film"
    assert scionary("trial", "skip", "Film or rubber", "Dome 1", "3", "--again", "--json").json["waiting"] == 4
    assert Trial.objects.get().left_out == []


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("trial", "new", "X", "--arm", "film"), "arms: it compares 1 thing."),
        ((*NEW, "--stage", "blooming"), "'blooming' is no stage"),
        ((*NEW, "--fillings", "40"), "from 1 to 12"),
        ((*NEW, "--difference", "80"), "difference: a difference of 0.8"),
        ((*NEW, "--dome", "Dome 9"), "no dome is called 'Dome 9'"),
        ((*NEW, "--only", "Ash Gill"), "no cultivar is called 'Ash Gill'"),
        ((*NEW, "--begins", "soon"), "'soon' is no date"),
        (("trial", "show", "Nobody"), "no trial is called 'Nobody'"),
        (("trial", "sheet", "Nobody", "--out", "x.pdf"), "no trial is called 'Nobody'"),
    ],
)
def test_what_cannot_be_is_refused_with_code_2(scionary: Running, dome: Dome, line: tuple[str, ...], words: str) -> None:
    answer = scionary(*line)
    assert (answer.code, words in answer.err) == (2, True), answer.err
    assert not Trial.objects.exists()


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("Dome 2", "1", "--why", "x"), "takes no part in it. One of: Dome 1."),
        (("Dome 1", "9", "--why", "x"), "has no place 9"),
        (("Dome 1", "1"), "does not say why"),
        (("Dome 1", "--why", "x"), "or --whole for all of the dome's"),
        (("Dome 1", "--again"), "which place counts again?"),
    ],
)
def test_a_skip_that_cannot_be_is_refused(scionary: Running, trial: Callable[..., Trial], more: tuple[str, ...], words: str) -> None:
    trial()
    answer = scionary("trial", "skip", "Film or rubber", *more)
    assert (answer.code, words in answer.err) == (2, True), answer.err
    assert Trial.objects.get().left_out == []


def test_list_of_a_book_without_trials_says_how_to_begin(scionary: Running) -> None:
    assert "No trial yet: scionary trial new NAME" in scionary("trial", "list").out
    assert scionary("trial", "list", "--json").json == []


def test_few_grafts_of_a_rare_name_are_staged(scionary: Running, cultivar: Cultivar, dome: Dome) -> None:
    said = scionary("plan", "--rare", "red tarn", "--scions", "4", "--domes", "2")
    assert said.code == 0
    assert "4 grafts of Red Tarn" in said.out
    assert "everything at once" in said.out
    answer = scionary("plan", "--rare", "Red Tarn", "--scions", "4", "--domes", "2", "--json").json
    assert {one["staging"] for one in answer["stagings"]} == {
        "everything at once",
        "split over 2 days",
        "split over 2 domes",
        "split over 2 days and 2 domes",
    }
    assert answer["stagings"][0]["chance"] >= answer["stagings"][-1]["chance"]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--rare", "Red Tran"), "Did you mean Red Tarn?"),
        (("--rare", "Red Tarn", "--scions", "0"), "scions: 0 scions"),
        (("--rare", "Red Tarn", "--days", "9"), "days: 9 days"),
        (("5 Red Tarn", "--rare", "Red Tarn"), "--rare stands alone"),
    ],
)
def test_a_rare_name_that_cannot_be_is_refused(scionary: Running, cultivar: Cultivar, more: tuple[str, ...], words: str) -> None:
    answer = scionary("plan", *more)
    assert (answer.code, words in answer.err) == (2, True), answer.err
