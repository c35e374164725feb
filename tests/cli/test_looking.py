"""scionary due, plan, findings, find: the same answers as the pages."""

from collections.abc import Callable
from typing import Any

import pytest

from scionary.book.models import AcceptedPlan, Wish

pytestmark = pytest.mark.django_db


def test_due_of_an_empty_book(scionary: Callable[..., Any]) -> None:
    assert scionary("due").out == "Nothing is due.\n"


def test_due_lists_reasons_and_can_look_ahead(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "3", "--dome", "Dome 1", "--on", "2026-02-14")
    said = scionary("due", "--on", "2026-02-22").out
    assert "• Dome 1: look in: water, mould, fallen leaf stalks" in said
    assert "Day 8 since grafting." in said
    assert scionary("due", "--on", "2026-02-22", "--json").json["lines"][0]["dome"] == "Dome 1"


def test_a_plan_from_a_typed_wish_taken_to_the_bench(scionary: Callable[..., Any]) -> None:
    answer = scionary("plan", "5 Red Tarn", "--season", "2027", "--sure", "0.8", "--take", "--json").json
    assert answer["lines"][0]["wanted"] == 5
    assert answer["lines"][0]["grafts"] > 5
    assert AcceptedPlan.objects.get().season == 2027


def test_a_wish_that_cannot_be_read_is_refused(scionary: Callable[..., Any]) -> None:
    answer = scionary("plan", "5 Red Tarn", "many Ash Gill")
    assert (answer.code, "'many Ash Gill' is no wish" in answer.err) == (2, True)
    assert not Wish.objects.exists()


def test_an_assurance_out_of_range_is_refused(scionary: Callable[..., Any]) -> None:
    answer = scionary("plan", "5 Red Tarn", "--sure", "2")
    assert answer.code == 2
    assert "assurance" in answer.err


def test_findings_name_the_stage_and_refuse_an_unknown_one(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "2", "--dome", "Dome 1")
    scionary("round", "Dome 1", "rest=firm")
    assert scionary("findings", "--stage", "firm", "--by", "dome", "--json").json["rows"][0]["takes"] == 2
    answer = scionary("findings", "--stage", "rooted")
    assert (answer.code, "stage is 'rooted'" in answer.err) == (2, True)


def test_find_reads_a_faded_code(scionary: Callable[..., Any]) -> None:
    code = scionary("bench", "Red Tarn", "--json").json["plants"][0]["code"]
    found = scionary("find", f"{code[:2]}??{code[4:]}", "--json").json
    assert (found["status"], found["plants"][0]["spoken"]) == ("recovered", "Red Tarn 1")


def test_find_of_nobody_answers_no(scionary: Callable[..., Any]) -> None:
    answer = scionary("find", "Merrybeck 4")
    assert (answer.code, answer.err) == (1, "")
