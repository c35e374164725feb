"""scionary bench: grafts written down, each with a name to say and a code to write."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, Event, Plant
from scionary.names import read_code

pytestmark = pytest.mark.django_db


def test_bench_writes_grafts_with_names_and_readable_codes(scionary: Callable[..., Any]) -> None:
    made = scionary("bench", "Red Tarn", "3", "--dome", "Dome 1", "--json").json["plants"]
    assert [p["name"] for p in made] == ["Red Tarn 1", "Red Tarn 2", "Red Tarn 3"]
    assert all(read_code(p["code"]).status == "exact" for p in made)
    assert Plant.objects.filter(dome__name="Dome 1").count() == 3


def test_bench_says_what_to_write_on_the_label_and_a_caution(scionary: Callable[..., Any]) -> None:
    said = scionary("bench", "Red Tarn")
    assert "write on the label" in said.out
    assert "Cut away from hand and body" in said.out


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["Red Tarn", "0"], "0 grafts at once"),
        (["Red Tarn", "9999"], "Give a number from 1 to"),
        (["Red Tarn", "--method", "whip"], "no method is called 'whip'"),
        (["Red Tarn", "--stock", "thick"], "length is 'thick'"),
        (["Red Tarn", "--on", "31/7/2026"], "Write year-month-day"),
        (["Red Tarn", "--cut", "0.2"], "cut: '0.2' is out of range. Give 1.0 mm to 500 mm."),
        (["Red Tarn", "--lean", "12in"], "lean: '12in' is out of range"),
        (["Red Tarn", "--lean", "left"], "length is 'left'"),
    ],
)
def test_bad_input_is_refused_and_nothing_is_written(scionary: Callable[..., Any], typed: list[str], said: str) -> None:
    before = Event.objects.count()
    answer = scionary("bench", *typed)
    assert answer.code == 2
    assert said in answer.err
    assert Event.objects.count() == before


def test_cut_and_lean_are_written_down_with_each_graft(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "2", "--stock", "7", "--scion", "1/8 in", "--cut", "18", "--lean", "0", "--json")
    grafts = [plant.grafts.get() for plant in Plant.objects.all()]
    assert [(graft.stock_mm, graft.scion_mm, graft.cut_mm, graft.lean_mm) for graft in grafts] == [(7.0, 3.175, 18.0, 0.0)] * 2
    scionary("bench", "Ash Gill")
    plain = Plant.objects.get(cultivar__spoken="Ash Gill").grafts.get()
    assert (plain.cut_mm, plain.lean_mm) == (None, None)


def test_a_date_in_the_future_is_flagged_and_kept(scionary: Callable[..., Any]) -> None:
    answer = scionary("bench", "Red Tarn", "--on", "2199-01-01")
    assert answer.code == 0
    assert "lies in the future" in answer.out
    assert Plant.objects.count() == 1


def test_a_name_nearly_in_the_book_is_refused_until_it_is_said_to_be_new(scionary: Callable[..., Any], cultivar: Cultivar) -> None:
    asked = scionary("bench", "Red Tran")
    assert (asked.code, Plant.objects.count()) == (2, 0)
    assert "Did you mean Red Tarn? If it is a new cultivar, add --new." in asked.err
    assert "Red Tran 1" in scionary("bench", "Red Tran", "--new").out
    assert "Red Tarn 1" in scionary("bench", "red  tarn").out


def test_without_a_dome_grafts_go_into_the_usual_one_and_it_is_said(scionary: Callable[..., Any]) -> None:
    assert "into Dome 1 (another: --dome NAME, none: --no-dome)" in scionary("bench", "Red Tarn").out
    assert "1 graft, into Dome 2." in scionary("bench", "Red Tarn", "--dome", "Dome 2").out
    assert "into Dome 2 (another" in scionary("bench", "Red Tarn").out
    assert "into no dome" in scionary("bench", "Red Tarn", "--no-dome").out
    assert "into Dome 1 (another" in scionary("bench", "Red Tarn").out
    domes = [plant.dome.name if plant.dome else "" for plant in Plant.objects.select_related("dome").order_by("running_number")]
    assert domes == ["Dome 1", "Dome 2", "Dome 2", "", "Dome 1"]
    assert scionary("bench", "Red Tarn", "--dome", "Dome 1", "--no-dome").code == 2


def test_the_label_s_medium_and_light_are_kept_and_an_unknown_medium_is_said(scionary: Callable[..., Any]) -> None:
    made = scionary("bench", "Red Tarn", "--label-medium", "crayon", "--light", "Shade")
    assert "How long crayon lasts is not known" in made.out
    plant = Plant.objects.get()
    assert (plant.label_medium, plant.label_light) == ("crayon", "shade")
    assert "is not known" not in scionary("bench", "Red Tarn", "--label-medium", "pencil").out
    refused = scionary("bench", "Red Tarn", "--light", "moon")
    assert (refused.code, "sun, shade" in refused.err) == (2, True)


def test_a_protected_cultivar_is_said_in_the_plan_at_the_bench_and_with_its_labels(
    scionary: Callable[..., Any], cultivar: Cultivar, now: datetime, tmp_path: Path
) -> None:
    save_noun(Cultivar, {"protected": True}, now=now, pk=cultivar.pk)
    for typed in (("plan", "5 Red Tarn"), ("bench", "Red Tarn"), ("labels", "--out", str(tmp_path / "l.pdf"))):
        said = scionary(*typed)
        assert (said.code, said.out.count("Look: Red Tarn is recorded as protected, without an end.")) == (0, 1)
