"""Past records from a spreadsheet: looked at, taken in all or nothing, taken out again."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from scionary.answers.offers import offer
from scionary.answers.past_import import accept_past, past_import, reading_of, undo_import
from scionary.answers.past_meaning import Choices
from scionary.answers.past_preview import PastReading, preview_past
from scionary.answers.rates import counts
from scionary.book.commands import GraftSetup, cultivar_called, write_event, write_grafts
from scionary.book.leases import LAST_NUMBER
from scionary.book.models import CodeLease, Cultivar, Device, Event, Graft, Method, Nursery, Plant, RawFile, RootstockLot, Tally
from scionary.errors import Refused, Stopped, UnknownSubject

NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)
PAST = b"""What we did,,,,,,,
cultivar,date,method,stock,label,grafts,in leaf,remarks
Red Tarn,2025-02-10,side veneer,24-B,12,1,took,strong
Red Tarn,2025-02-10,Side veneer,24-b,13,1,dead,
Ash Gill,Feb 2025,,,,1,?,by the door
Lanthorn,2024,,,,10,8/10 took,
Total,,,,,13,,
"""
PUZZLING = PAST + b"Fell Lace,2025-02-11,,,,1,maybe so,\n"
EVERYTHING = (Plant, Graft, Event, Tally, Cultivar, Method, RootstockLot, RawFile)
COLUMNS = {
    "cultivar": "cultivar",
    "date": "date",
    "method": "method",
    "stock": "stock_lot",
    "label": "label",
    "grafts": "grafts",
    "in leaf": "outcome in_leaf",
    "remarks": "note",
}
HOW = PastReading(mapping=COLUMNS)
DATA = Path(__file__).parent.parent / "data"
pytestmark = pytest.mark.usefixtures("nursery")


def rows_of_everything() -> list[int]:
    return [model.objects.count() for model in EVERYTHING]  # type: ignore[attr-defined]


def test_the_preview_says_what_each_row_becomes_and_writes_nothing() -> None:
    before = rows_of_everything()
    preview = preview_past(PUZZLING, "past.csv", now=NOW, how=HOW)
    assert [(row.row, row.becomes) for row in preview.rows] == [
        (3, "plant"),
        (4, "plant"),
        (5, "plant"),
        (6, "count"),
        (7, "nothing"),
        (8, "not understood"),
    ]
    assert preview.rows[0].words == "A plant of its own: Red Tarn, grafted 2025-02-10; in leaf the next spring: yes."
    assert (preview.rows[5].column, preview.rows[5].text) == ("in leaf", "maybe so")
    assert preview.rows[5].remedy
    assert (preview.plants, preview.counts, preview.grafts, preview.not_understood, preview.left_out) == (3, 1, 13, 1, 1)
    assert preview.words == "4 rows with 13 grafts: 3 plants, 1 count. 1 row not understood."
    assert preview.questions == ()
    assert rows_of_everything() == before
    json.dumps(preview.to_dict())


def test_the_preview_names_what_is_new_and_what_was_perhaps_meant() -> None:
    cultivar_called("Ash Gill", now=NOW)
    cultivar_called("Lantorn", now=NOW)
    preview = preview_past(PAST, "past.csv", now=NOW, how=HOW)
    assert [(name.name, name.known, name.rows, name.grafts) for name in preview.cultivars] == [
        ("Lanthorn", False, 1, 10),
        ("Red Tarn", False, 2, 2),
        ("Ash Gill", True, 1, 1),
    ]
    assert preview.cultivars[0].perhaps == ("Lantorn",)
    assert preview.methods[0].perhaps == ("Side veneer, dormant, winter",)


def test_what_only_the_person_can_say_is_asked() -> None:
    data = b"cultivar,date,took\nRed Tarn,03/04/2025,8/10\nAsh Gill,05/06/2025,3/5\n"
    preview = preview_past(data, "past.csv", now=NOW)
    assert [question.argument for question in preview.questions] == ["date_order"]
    assert ("dmy", "day, month, year") in preview.questions[0].choices
    settled = preview_past(data, "past.csv", now=NOW, how=PastReading(date_order="dmy"))
    assert [question.argument for question in settled.questions] == ["stage"]
    assert preview_past(data, "past.csv", now=NOW, how=PastReading(date_order="dmy", stage="firm")).questions == ()


def test_an_accepted_file_becomes_plants_and_counts() -> None:
    result = accept_past(PAST, "past.csv", now=NOW, how=HOW, who="Nell")
    assert (result.plants, result.counts, result.grafts) == (3, 1, 13)
    assert result.new_cultivars == ("Ash Gill", "Lanthorn", "Red Tarn")
    assert (result.new_methods, result.new_lots) == (("side veneer",), ("24-B",))
    took, dead = Plant.objects.filter(cultivar__spoken="Red Tarn").order_by("running_number")
    assert (took.running_number, took.state, dead.running_number, dead.state) == (12, "alive", 13, "dead")
    graft = Graft.objects.get(plant=took)
    assert (graft.grafted_at.date(), graft.precision, graft.in_leaf) == (date(2025, 2, 10), "day", "yes")
    unknown = Graft.objects.get(plant__cultivar__spoken="Ash Gill")
    assert (unknown.precision, unknown.in_leaf, unknown.plant.state) == ("month", None, "waiting")
    tally = Tally.objects.get()
    assert (tally.grafts, tally.takes, tally.season, tally.stage) == (10, 8, 2024, "in_leaf")
    assert tally.source.startswith("past.csv, row 6")
    assert RawFile.objects.get().kind == "past"
    assert len({plant.code_number for plant in Plant.objects.all()}) == 3
    json.dumps(result.to_dict())


def test_the_season_of_a_dated_count_is_its_growing_year() -> None:
    data = b"cultivar,date,firm\nRed Tarn,2024-09-28,8/10\nAsh Gill,2024-09-01,3/5\n"
    accept_past(data, "past.csv", now=NOW)
    assert dict(Tally.objects.values_list("cultivar__spoken", "season")) == {"Red Tarn": 2025, "Ash Gill": 2024}


def test_the_same_file_twice_is_refused() -> None:
    accept_past(PAST, "past.csv", now=NOW, how=HOW)
    before = rows_of_everything()
    with pytest.raises(Refused, match=r"again.csv: this very file was taken in on 2026-07-10"):
        accept_past(PAST, "again.csv", now=NOW, how=HOW)
    assert rows_of_everything() == before
    assert preview_past(PAST, "again.csv", now=NOW, how=HOW).read_before == "2026-07-10"


def test_the_day_is_the_nursery_s_late_in_the_evening() -> None:
    late, tomorrow = NOW.replace(hour=23), b"cultivar,date,grafts,in leaf\nRed Tarn,2026-07-11,10,8/10 took\n"
    assert preview_past(tomorrow, "past.csv", now=late).warnings == ()
    accept_past(PAST, "past.csv", now=late, how=HOW)
    assert preview_past(PAST, "again.csv", now=late, how=HOW).read_before == "2026-07-11"
    with pytest.raises(Refused, match="taken in on 2026-07-11"):
        accept_past(PAST, "again.csv", now=late, how=HOW)


def test_rows_not_understood_stay_behind_only_when_the_person_says_so() -> None:
    before = rows_of_everything()
    with pytest.raises(Refused, match=r"past.csv, row 8, in leaf: 'maybe so' says neither") as caught:
        accept_past(PUZZLING, "past.csv", now=NOW, how=HOW)
    assert "1 row not understood may be left out" in caught.value.remedy
    assert rows_of_everything() == before
    result = accept_past(PUZZLING, "past.csv", now=NOW, how=HOW, skip_not_understood=True)
    assert (result.plants, result.rows_left_out) == (3, (8,))


def test_dates_in_doubt_are_never_left_out_by_the_way() -> None:
    data = b"cultivar,date,took\nRed Tarn,03/04/2025,8/10\nAsh Gill,05/06/2025,3/5\n"
    with pytest.raises(Refused, match=r"Say in which order they are written: dmy or mdy"):
        accept_past(data, "past.csv", now=NOW, skip_not_understood=True)


def test_a_refusal_half_way_keeps_nothing() -> None:
    """Code numbers run out after the cultivars, methods and lots of the file were made."""
    device = Device.objects.create(name="phone", added_at=NOW)
    CodeLease.objects.create(device=device, first=LAST_NUMBER - 9, count=10, used=10, leased_at=NOW)
    before = rows_of_everything()
    with pytest.raises(Refused, match="all code numbers have been issued"):
        accept_past(PAST, "past.csv", now=NOW, how=HOW)
    assert rows_of_everything() == before


def test_labels_that_are_taken_get_the_next_number() -> None:
    cultivar = cultivar_called("Red Tarn", now=NOW)
    write_grafts(GraftSetup(cultivar.pk, NOW), 12, now=NOW)
    accept_past(PAST, "past.csv", now=NOW, how=HOW)
    numbers = sorted(Plant.objects.filter(cultivar=cultivar).values_list("running_number", flat=True))
    assert numbers == list(range(1, 15))


def test_names_that_the_person_puts_right_are_written_so() -> None:
    choices = Choices(cultivars={"Lanthorn": "Merrybeck"}, methods={"side veneer": "Side veneer, dormant, winter"})
    result = accept_past(PAST, "past.csv", now=NOW, how=PastReading(mapping=COLUMNS, choices=choices))
    assert result.new_methods == ()
    assert Tally.objects.get().cultivar.spoken == "Merrybeck"
    assert Graft.objects.filter(method__name="Side veneer, dormant, winter").count() == 2


def test_dates_in_the_future_are_flagged_not_refused() -> None:
    data = b"cultivar,date,in leaf\nRed Tarn,2027-02-10,\n"
    how = PastReading(mapping={"cultivar": "cultivar", "date": "date", "in leaf": "outcome in_leaf"})
    assert preview_past(data, "past.csv", now=NOW, how=how).warnings == ("Row 2 has a date in the future; it is written as it stands.",)
    assert accept_past(data, "past.csv", now=NOW, how=how).flags == ("the date 2027-02-10 lies in the future",)


def test_more_takes_later_than_earlier_are_pointed_out() -> None:
    data = b"cultivar,grafts,firm,in leaf\nRed Tarn,10,6,8\n"
    assert preview_past(data, "past.csv", now=NOW).warnings == ("Row 2 has more takes at a later stage than at an earlier one.",)


def test_a_wrong_column_role_is_refused_with_the_file() -> None:
    with pytest.raises(Refused, match=r"past.csv: role of a column is 'tree'"):
        preview_past(PAST, "past.csv", now=NOW, how=PastReading(mapping={"cultivar": "tree"}))


def test_an_import_is_taken_out_again_and_can_be_read_anew(nursery: Nursery) -> None:
    digest = accept_past(PAST, "past.csv", now=NOW, how=HOW).sha256
    undone = undo_import(digest, now=NOW + timedelta(minutes=5))
    assert (undone.plants, undone.counts) == (3, 1)
    assert (Plant.objects.count(), Tally.objects.filter(retired=False).count()) == (0, 0)
    again = accept_past(PAST, "past.csv", now=NOW + timedelta(minutes=9), how=PastReading(mapping=COLUMNS, as_counts=True))
    assert (again.plants, again.counts) == (0, 4)
    undo_import(digest, now=NOW + timedelta(minutes=12))
    third = accept_past(PAST, "past.csv", now=NOW + timedelta(minutes=15), how=HOW)
    assert third.plants == Plant.objects.count() == 3
    assert undo_import(digest, now=NOW + timedelta(minutes=20)).plants == 3


def test_an_import_stays_once_more_was_written_about_its_plants() -> None:
    digest = accept_past(PAST, "past.csv", now=NOW, how=HOW).sha256
    write_event("untied", Plant.objects.all()[0].key, happened_at=NOW, now=NOW)
    with pytest.raises(Refused, match="about 1 plant of this file more was written since"):
        undo_import(digest, now=NOW)
    assert Plant.objects.count() == 3


def test_what_never_came_in_cannot_be_taken_out() -> None:
    with pytest.raises(UnknownSubject, match="no file of past records with this hash"):
        undo_import("0" * 64, now=NOW)


def test_the_work_reads_first_and_writes_in_its_last_step() -> None:
    digest = offer(PAST, "past.csv", now=NOW)
    plain = {"sha256": digest, "how": {"mapping": COLUMNS, "choices": {"lots": {"24-B": "24-C"}}}, "who": "Nell"}
    last_step = past_import(json.loads(json.dumps(plain)), lambda fraction, word: True, NOW)
    assert Plant.objects.count() == 0
    assert last_step()["plants"] == 3
    assert RootstockLot.objects.get().name == "24-C"


def test_a_stopped_import_keeps_nothing() -> None:
    before = rows_of_everything()
    with pytest.raises(Stopped):
        accept_past(PAST, "past.csv", now=NOW, how=HOW, progress=lambda fraction, word: fraction < 0.3)
    assert rows_of_everything() == before


def test_a_reading_comes_back_from_plain_values() -> None:
    assert reading_of({"stage": "firm", "choices": {"methods": {"a": "b"}}}) == PastReading(
        stage="firm", choices=Choices(methods={"a": "b"})
    )


@pytest.mark.parametrize(
    ("name", "plants", "tallies", "grafts", "puzzles"),
    [
        ("past_one_row_a_graft.csv", 19, 1, 20, (12, 17, 23, 26)),
        ("past_counts.xlsx", 1, 13, 86, (14, 16, 17, 21, 24)),
        ("past_wide_by_year.csv", 0, 33, 199, (6, 8, 12, 15, 16)),
    ],
)
def test_growers_files_in_three_shapes_come_in(name: str, plants: int, tallies: int, grafts: int, puzzles: tuple[int, ...]) -> None:
    """Counted by hand in the files under tests/data."""
    data = (DATA / name).read_bytes()
    how = PastReading(stage="in_leaf")
    preview = preview_past(data, name, now=NOW, how=how)
    result = accept_past(data, name, now=NOW, how=how, skip_not_understood=True)
    assert (result.plants, result.counts, result.grafts, result.rows_left_out) == (plants, tallies, grafts, puzzles)
    assert (preview.plants, preview.counts, preview.grafts, preview.not_understood) == (plants, tallies, grafts, len(puzzles))
    assert Plant.objects.count() == plants


def test_only_the_rarer_of_two_near_names_in_a_file_is_doubted() -> None:
    name = "past_one_row_a_graft.csv"
    cultivars = preview_past((DATA / name).read_bytes(), name, now=NOW).cultivars
    assert {entry.name: entry.perhaps for entry in cultivars if entry.perhaps} == {"Ash Gil": ("Ash Gill",)}


def test_a_row_with_several_looks_counts_once_at_each_stage() -> None:
    data = b"cultivar,grafts 2024,2024 firm,2024 took\nRed Tarn,12,11,9\n"
    accept_past(data, "past.csv", now=NOW)
    assert [(row.grafts, row.takes) for row in counts("firm", "cultivar")[0]] == [(12, 11)]
    assert [(row.grafts, row.takes) for row in counts("in_leaf", "cultivar")[0]] == [(12, 9)]
