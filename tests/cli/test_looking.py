"""scionary due, plan, findings, find: the same answers as the pages."""

from collections.abc import Callable
from typing import Any

import pytest
from django.template import Context, Template
from django.utils import timezone

from scionary.book.commands import save_noun
from scionary.book.models import AcceptedPlan, Cultivar, Dome, Plant, Wish
from scionary.names import code_of, grouped

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
    for typed in ("2", "49", "100", "1", "0.4", "quite"):
        answer = scionary("plan", "5 Red Tarn", "--sure", typed)
        assert answer.code == 2
        assert "--sure takes 0.5 to 0.999, or 50 to 99.9 per cent" in answer.err
    assert not Wish.objects.exists()


@pytest.mark.parametrize(("typed", "share"), [("90", 0.9), ("0.95", 0.95), ("99.9", 0.999), ("80 %", 0.8)])
def test_an_assurance_is_a_share_or_per_cent(scionary: Callable[..., Any], typed: str, share: float) -> None:
    assert scionary("plan", "5 Red Tarn", "--sure", typed).code == 0
    assert Wish.objects.get().assurance == pytest.approx(share)


def test_a_wish_for_a_name_nearly_in_the_book_is_asked_about(scionary: Callable[..., Any], cultivar: Cultivar) -> None:
    asked = scionary("plan", "5 Ash Gill", "20 Red Tran")
    assert (asked.code, Wish.objects.count()) == (2, 0)
    assert "Did you mean Red Tarn? If it is a new cultivar, add --new." in asked.err
    assert scionary("plan", "20 Red Tran", "--new").code == 0
    assert Wish.objects.get().cultivar.spoken == "Red Tran"


def test_findings_name_the_stage_and_refuse_an_unknown_one(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "2", "--dome", "Dome 1", "--on", "2026-02-10")
    scionary("round", "Dome 1", "rest=firm", "--on", "2026-03-14")
    assert scionary("findings", "--stage", "firm", "--by", "dome", "--json").json["rows"][0]["takes"] == 2
    answer = scionary("findings", "--stage", "rooted")
    assert (answer.code, "stage is 'rooted'" in answer.err) == (2, True)
    assert "--stage is 'leaf'; allowed: firm, growing, in-leaf" in scionary("findings", "--stage", "leaf").err
    assert "--rate is 'coming'; allowed: long-run, next-season, reference" in scionary("findings", "--rate", "coming").err


def test_findings_read_hyphens_as_underscores(scionary: Callable[..., Any]) -> None:
    for stage, rate in (("in-leaf", "next-season"), ("in_leaf", "next_season")):
        found = scionary("findings", "--stage", stage, "--rate", rate, "--json").json
        assert (found["stage"], found["kind"]) == ("in_leaf", "next_season")


@pytest.fixture
def two_lots(scionary: Callable[..., Any]) -> None:
    """Twelve grafts on each of two lots; all of one took, two of the other."""
    for lot, rest in (("24-A", "rest=firm"), ("24-B", "rest=lost")):
        scionary("bench", "Red Tarn", "12", "--no-dome", "--lot", lot, "--on", "2026-01-10")
        dome = Dome.objects.filter(name=f"Dome {lot}").first() or save_noun(Dome, {"name": f"Dome {lot}"}, now=timezone.now())
        scionary("bench", "Red Tarn", "12", "--dome", dome.name, "--lot", lot, "--on", "2026-01-11")
        scionary("round", dome.name, rest, "--on", "2026-02-14")


def test_findings_compare_two_levels_by_name(scionary: Callable[..., Any], two_lots: None) -> None:
    asked = ("findings", "--compare", "24-b", "--with", "24-A", "--by", "lot", "--stage", "firm")
    said = scionary(*asked).out
    assert "Stock lot 24-B is lower than 24-A with a chance of" in said
    assert "but: All grafts fall alike by stock lot and by filling of a dome, so it may be the filling of a dome." in said
    found = scionary(*asked, "--json").json
    assert found["chance_lower"] > 0.8
    assert found["sentence"] in said
    assert found["points_low"] < found["points"] < found["points_high"] < 0.2


def test_findings_compare_needs_both_names(scionary: Callable[..., Any]) -> None:
    for given, missing in (("--compare", "--with"), ("--with", "--compare")):
        answer = scionary("findings", given, "24-A", "--by", "lot")
        assert (answer.code, answer.out) == (2, "")
        assert f"Name the other one too: {missing} NAME." in answer.err


def test_findings_have_no_next_season_of_a_past_one(scionary: Callable[..., Any]) -> None:
    answer = scionary("findings", "--by", "season", "--rate", "next_season")
    assert answer.code == 2
    assert "a season that is past has no other" in answer.err


def test_findings_tell_more_when_asked(scionary: Callable[..., Any], two_lots: None) -> None:
    short, more = scionary("findings", "--stage", "firm").out, scionary("findings", "--stage", "firm", "--more").out
    for head in ("three rates of Red Tarn", "\n  what makes grafts differ "):
        assert head in more
        assert head not in short
    found = scionary("findings", "--stage", "firm", "--json").json
    assert found["importance"]["sentence"] in short
    assert {way["kind"] for way in found["ways"]} == {"long_run", "next_season", "reference"}
    assert found["losses_between_stages"]["steps"][0]["known"] == 0
    assert found["difference"] is None


def test_find_reads_a_faded_code(scionary: Callable[..., Any]) -> None:
    code = scionary("bench", "Red Tarn", "--json").json["plants"][0]["code"]
    found = scionary("find", f"{code[:2]}??{code[4:]}", "--json").json
    assert (found["status"], found["plants"][0]["spoken"]) == ("recovered", "Red Tarn 1")


def test_find_of_nobody_answers_no(scionary: Callable[..., Any]) -> None:
    answer = scionary("find", "Merrybeck 4")
    assert (answer.code, answer.err) == (1, "")


def test_a_code_is_grouped_alike_on_the_page_and_in_the_terminal(scionary: Callable[..., Any], plant: Plant) -> None:
    assert plant.code_number is not None
    said = grouped(code_of(plant.code_number))
    assert said in scionary("find", "Red Tarn 1").out
    assert f">{said}</span>" in Template("{% load said %}{{ plant|code }}").render(Context({"plant": plant}))


def test_how_sure_a_wish_is_stands_as_years_in_ten(scionary: Callable[..., Any]) -> None:
    said = scionary("plan", "5 Red Tarn", "--sure", "0.8").out
    assert "enough in" in said
    assert "eight years in ten" in said


def test_findings_say_how_many_grafts_are_too_young(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "3")
    assert "3 grafts are too young: whether they are firm is known from about" in scionary("findings").out
    assert scionary("findings", "--stage", "in_leaf", "--json").json["waiting"]["grafts"] == 3
