"""Printed sheets: kept with all that they show, drawn again the same, and read against their own layout."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from io import BytesIO

import pypdfium2
import pytest
from django.test.utils import CaptureQueriesContext

from scionary.answers.bench_setting import BenchSetting, set_bench
from scionary.answers.paper import print_bench, print_dome_card, print_round, sheet_called
from scionary.answers.paper_drawn import sheet_labels_pdf, sheet_pdf
from scionary.answers.paper_keying import KeyedIn, changes_of, key_sheet, undo_sheet
from scionary.answers.paper_read_back import ticks_standing
from scionary.answers.paper_rows import rows_of, since_printed
from scionary.answers.paper_slots import slots_of, written_of
from scionary.answers.paper_ticks import BenchRow, Ticks, WholeDome
from scionary.answers.undoing import undo_once
from scionary.book.commands import Written, correct, save_noun, write_event
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Dome, DomeState, Event, KeptAside, Method, Nursery, Plant, PrintedSheet
from scionary.errors import Refused, UnknownSubject
from scionary.files.symbols import read_symbols
from scionary.names.sheet_codes import sheet_code_of

pytestmark = pytest.mark.django_db

TODAY = date(2026, 2, 14)
Keying = Callable[..., KeyedIn]


@pytest.fixture
def thirty(graft: Callable[..., Written], dome: Dome) -> list[Plant]:
    return graft(30, days=-30, dome=dome.pk, places=tuple(range(1, 31))).plants


@pytest.fixture
def round_of_30(thirty: list[Plant], dome: Dome, now: datetime) -> PrintedSheet:
    return print_round([dome.pk], today=TODAY, now=now)


@pytest.fixture
def bench(cultivar: Cultivar, dome: Dome, nursery: Nursery, now: datetime) -> BenchDay:
    return set_bench(BenchSetting("Red Tarn", TODAY, dome="Dome 1"), nursery=nursery, now=now, ident=uuid7()).bench


@pytest.fixture
def key(nursery: Nursery, now: datetime) -> Keying:
    """Keys a sheet some hours after it was printed: key(sheet, {1: ["firm"]}, days=0, domes=...)."""

    def keyed(sheet: PrintedSheet, rows: dict[int, list[str]] | None = None, *, days: int = 0, late: int = 0, **more: object) -> KeyedIn:
        ticks = Ticks(TODAY + timedelta(days=days), rows=rows or {}, **more)  # type: ignore[arg-type]
        return key_sheet(sheet, ticks, nursery=nursery, now=now + timedelta(days=days + late, hours=3))

    return keyed


def states(plants: list[Plant]) -> list[str]:
    found = Plant.objects.in_bulk([plant.pk for plant in plants])
    return [found[plant.pk].state for plant in plants]


def firm_day() -> date:
    """The day on which the first plant was seen to be firm."""
    at = Plant.objects.get(place=1).grafts.get().firm_at
    assert at is not None
    return at.date()


def symbol_texts(pdf: bytes) -> set[str]:
    pages = pypdfium2.PdfDocument(BytesIO(pdf))
    return {symbol.text for page in pages for symbol in read_symbols(page.render(scale=3).to_pil())}


def test_a_printed_round_is_kept_with_every_plant_in_its_row(round_of_30: PrintedSheet, thirty: list[Plant], dome: Dome) -> None:
    rows = rows_of(round_of_30)
    assert [(row.number, row.plant, row.said, row.place) for row in rows] == [
        (at, plant.pk, plant.spoken, at) for at, plant in enumerate(thirty, start=1)
    ]
    assert round_of_30.dome == dome
    assert Event.objects.filter(kind="edited", subjects__key=round_of_30.key).exists()


@pytest.mark.parametrize("kind", ["round", "card", "bench"])
def test_a_kept_sheet_is_drawn_again_to_the_byte_with_its_code_as_a_symbol(
    thirty: list[Plant], bench: BenchDay, dome: Dome, cultivar: Cultivar, now: datetime, kind: str
) -> None:
    made = {
        "round": lambda: print_round([dome.pk], today=TODAY, now=now),
        "card": lambda: print_dome_card(dome.pk, today=TODAY, now=now),
        "bench": lambda: print_bench(bench.pk, 12, today=TODAY, now=now),
    }[kind]()
    first = sheet_pdf(PrintedSheet.objects.get(pk=made.pk))
    save_noun(Cultivar, {"spoken": "Another Tarn"}, now=now, pk=cultivar.pk)
    save_noun(Dome, {"name": "Dome 9"}, now=now, pk=dome.pk)
    assert sheet_pdf(PrintedSheet.objects.get(pk=made.pk)) == first
    assert symbol_texts(first) == {made.code}


def test_a_round_of_grafts_without_leaves_has_no_column_for_leaf_stalks(
    graft: Callable[..., Written], dome: Dome, nursery: Nursery, now: datetime, key: Keying
) -> None:
    bare = Method.objects.get(leafy=False)
    graft(3, days=-30, dome=dome.pk, method=bare.pk, places=(1, 2, 3))
    without = print_round([dome.pk], today=TODAY, now=now)
    assert not {"drops", "stays"} & {said for said, _ in without.layout["text"]["boxes"]}
    assert "stalks" not in dict(without.layout["text"]["whole"])
    assert sheet_pdf(without).startswith(b"%PDF")
    key(without, {1: ["firm"], 3: ["lost"]})
    assert states(list(Plant.objects.order_by("place"))) == ["alive", "waiting", "dead"]
    graft(1, days=-30, dome=dome.pk, places=(4,))  # one whose stalk can tell, among them
    with_one = print_round([dome.pk], today=TODAY, now=now)
    assert [said for said, _ in with_one.layout["text"]["boxes"]][:2] == ["drops", "stays"]
    assert "stalks" in dict(with_one.layout["text"]["whole"])


def test_a_code_is_found_as_it_is_typed_and_that_of_another_book_is_refused(round_of_30: PrintedSheet) -> None:
    code = round_of_30.code
    assert sheet_called(f" {code[:3].lower()} {code[3:].lower()} ") == round_of_30
    other = next(sheet_code_of(number) for number in range(9) if sheet_code_of(number) != code)
    with pytest.raises(UnknownSubject, match="this book printed no sheet with the code"):
        sheet_called(other)
    with pytest.raises(Refused, match="is no code of a sheet"):
        sheet_called("P8W ECYC")


def test_thirty_plants_are_keyed_in_one_go_and_those_not_ticked_stay_as_they_are(
    round_of_30: PrintedSheet, thirty: list[Plant], key: Keying
) -> None:
    ticked = {1: ["firm"], 2: ["lost"], 3: ["drops", "bud"], 4: ["wilting"], **{row: [] for row in range(5, 31)}}
    done = key(round_of_30, ticked, causes={2: "dried out"})
    assert done.words == "4 rows ticked, 26 not looked at"
    assert states(thirty) == ["alive", "dead", *["waiting"] * 28]
    lost = thirty[1].grafts.get()
    assert (lost.lost_cause, Plant.objects.get(pk=thirty[2].pk).grafts.get().stalk_drops) == ("dried out", "yes")


def test_the_same_sheet_keyed_again_writes_only_what_is_new(round_of_30: PrintedSheet, key: Keying) -> None:
    key(round_of_30, {1: ["firm"], 2: ["lost"]})
    count = Event.objects.exclude(kind="edited").count()
    again = key(round_of_30, {1: ["firm"], 2: ["lost"]}, late=2)
    assert (bool(again.changes), Event.objects.exclude(kind="edited").count()) == (False, count)
    more = key(round_of_30, {1: ["firm"], 2: ["lost"], 3: ["mould"]}, late=3)
    assert (more.changes.words, Event.objects.exclude(kind="edited").count()) == ("1 new", count + 1)
    assert not KeptAside.objects.exists()


def test_a_tick_taken_away_is_undone_and_one_put_back_counts_again(round_of_30: PrintedSheet, thirty: list[Plant], key: Keying) -> None:
    key(round_of_30, {1: ["firm"]})
    assert key(round_of_30, {1: ["lost"]}).changes.words == "1 new, 1 undone"
    assert states(thirty[:1]) == ["dead"]
    assert key(round_of_30, {1: ["firm"]}).changes.words == "1 new, 1 undone"
    assert states(thirty[:1]) == ["alive"]
    assert Event.objects.filter(kind="scored").count() == 1


def test_a_sheet_is_undone_as_a_whole_and_can_be_keyed_afresh(
    round_of_30: PrintedSheet, thirty: list[Plant], key: Keying, now: datetime
) -> None:
    ticks = {row: ["firm"] for row in range(1, 31)}
    key(round_of_30, ticks, domes={0: WholeDome(water=True)})
    assert undo_sheet(PrintedSheet.objects.get(pk=round_of_30.pk), now=now) == 32  # 30 plants, the look at the dome, its water
    assert set(states(thirty)) == {"waiting"}
    assert PrintedSheet.objects.get(pk=round_of_30.pk).keyed_at is None
    key(round_of_30, ticks)
    assert set(states(thirty)) == {"alive"}


def test_another_day_moves_what_was_keyed(round_of_30: PrintedSheet, key: Keying) -> None:
    key(round_of_30, {1: ["firm"]}, late=3)
    assert firm_day() == TODAY
    assert key(round_of_30, {1: ["firm"]}, days=2).changes.words == "1 changed"
    assert firm_day() == TODAY + timedelta(days=2)


def test_the_whole_dome_is_ticked_beside_its_plants(round_of_30: PrintedSheet, dome: Dome, thirty: list[Plant], key: Keying) -> None:
    whole = WholeDome(water=True, stalks=True, rest=True, vents=33, product="Mould stop", note="drips at the far end")
    key(round_of_30, {7: ["mould"]}, domes={0: whole})
    state = DomeState.objects.get(dome_id=dome.pk)
    assert (state.vent_pct, state.watered_at is not None, state.treated_at is not None, state.seen_at is not None) == (33, True, True, True)
    assert Event.objects.filter(kind="observed", payload__seen="unchanged").count() == 29
    assert Event.objects.filter(kind="observed", payload__seen="stalks_picked_out").exists()
    assert Event.objects.filter(kind="observed", payload__note="drips at the far end").exists()


def test_a_dome_counts_as_looked_at_only_when_all_its_plants_are_ticked(round_of_30: PrintedSheet, dome: Dome, key: Keying) -> None:
    key(round_of_30, {row: ["firm"] for row in range(1, 30)}, domes={0: WholeDome()})
    assert not DomeState.objects.filter(dome_id=dome.pk).exists()
    key(round_of_30, {row: ["firm"] for row in range(1, 31)}, domes={0: WholeDome()})
    assert DomeState.objects.get(dome_id=dome.pk).seen_at is not None


def test_an_old_sheet_is_read_against_its_own_layout(
    round_of_30: PrintedSheet, thirty: list[Plant], dome: Dome, key: Keying, now: datetime
) -> None:
    other = save_noun(Dome, {"name": "Dome 2"}, now=now)
    write_event("moved", thirty[0].key, {"dome": str(other.pk), "place": 1}, happened_at=now, now=now)
    write_event("moved", thirty[1].key, {"dome": str(dome.pk), "place": 1}, happened_at=now, now=now)
    done = key(round_of_30, {1: ["firm"], 2: ["lost"]})
    assert states(thirty[:2]) == ["alive", "dead"]
    assert done.flags == ("row 1, Red Tarn 1: it stands in Dome 2 now",)


def test_what_is_ticked_of_a_plant_that_left_or_was_undone_is_kept_and_flagged(
    round_of_30: PrintedSheet, thirty: list[Plant], key: Keying, now: datetime
) -> None:
    write_event("left", thirty[0].key, {"how": "sale"}, happened_at=now, now=now)
    undo_once(thirty[1].grafts.get().pk, now=now)
    done = key(round_of_30, {1: ["firm"], 2: ["firm"], 3: ["firm"]})
    assert [flag.split(":")[0] for flag in done.flags] == ["row 1, Red Tarn 1", "row 2, Red Tarn 2"]
    assert "something is recorded here after it had left" in Plant.objects.get(pk=thirty[0].pk).flags
    assert Event.objects.filter(kind="scored", subjects__key=thirty[1].key).exists()
    assert not Plant.objects.filter(pk=thirty[1].pk).exists()


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ({31: ["firm"]}, "row 31: the sheet has no row 31"),
        ({0: ["firm"]}, "row 0: the sheet has no row 0"),
        ({1: ["splendid"]}, "row 1, Red Tarn 1: it has no box 'splendid'"),
        ({1: ["firm", "lost"]}, "row 1, Red Tarn 1: firm and lost are both ticked"),
    ],
)
def test_what_cannot_be_ticked_is_refused_with_its_row_and_nothing_is_written(
    round_of_30: PrintedSheet, key: Keying, rows: dict[int, list[str]], told: str
) -> None:
    with pytest.raises(Refused, match=told):
        key(round_of_30, {2: ["firm"], **rows})
    assert not Event.objects.filter(kind="scored").exists()


@pytest.mark.parametrize(("days", "late"), [(-1, 3), (1, -1)])
def test_a_day_before_printing_or_ahead_is_refused(round_of_30: PrintedSheet, key: Keying, days: int, late: int) -> None:
    with pytest.raises(Refused, match=r"cannot be\. Give a day from 2026-02-14, when it was printed, to today"):
        key(round_of_30, {1: ["firm"]}, days=days, late=late)


def test_what_was_keyed_comes_back_as_the_same_ticks(round_of_30: PrintedSheet, nursery: Nursery, key: Keying) -> None:
    whole = WholeDome(water=True, vents=50, treated=True, product="Mould stop", note="n")
    key(round_of_30, {1: ["drops", "firm"], 2: ["lost"]}, causes={2: "mould"}, domes={0: whole})
    ticks = ticks_standing(round_of_30, written_of(round_of_30), nursery, today=TODAY + timedelta(days=9))
    assert (ticks.day, ticks.rows[1], ticks.rows[2], ticks.rows[3], ticks.causes[2]) == (TODAY, ["drops", "firm"], ["lost"], [], "mould")
    assert ticks.domes == {0: whole}
    assert not key(round_of_30, {**ticks.rows}, causes={**ticks.causes}, domes={**ticks.domes}).changes


def test_a_card_is_keyed_by_its_pots_and_its_dates(thirty: list[Plant], dome: Dome, now: datetime, key: Keying) -> None:
    card = print_dome_card(dome.pk, today=TODAY, now=now)
    lines = card.layout["dates"]
    vents = [at for at, line in enumerate(lines) if ["vented", {"open_pct": 33.0}] in line["done"]]
    day = TODAY + timedelta(days=1)
    key(card, {1: ["firm"], 30: ["unsure"]}, days=1, dates={vents[0]: day} if vents else {0: day})
    assert states(thirty)[0] == "alive"
    assert Plant.objects.get(pk=thirty[29].pk).last_sign == "firm_unsure"
    assert DomeState.objects.filter(dome_id=dome.pk).exists()
    assert len(lines) == len(card.layout["text"]["dates"])


def test_a_bench_sheet_keyed_back_makes_the_grafts_with_its_own_codes(bench: BenchDay, dome: Dome, now: datetime, key: Keying) -> None:
    sheet = print_bench(bench.pk, 4, today=TODAY, now=now)
    rows = {1: BenchRow(True, 7.0, 6.5), 2: BenchRow(True, 7.0, 6.5, blade="disinfected"), 3: BenchRow(), 4: BenchRow(True, note="bleeds")}
    done = key(sheet, bench=rows)
    plants = list(Plant.objects.order_by("running_number"))
    assert [plant.code_number for plant in plants] == [sheet.layout["numbers"][at] for at in (0, 1, 3)]
    assert [(plant.spoken, plant.dome, plant.place) for plant in plants] == [(f"Red Tarn {at}", dome, at) for at in (1, 2, 3)]
    assert [plant.grafts.get().stock_mm for plant in plants] == [7.0, 7.0, None]
    first, cleaned, second = (
        Event.objects.filter(kind=kind).order_by("happened_at")[at].happened_at
        for kind, at in (("grafted", 0), ("blade_cleaned", 0), ("grafted", 1))
    )
    assert first < cleaned < second
    assert done.words == "3 rows ticked, 1 not looked at"


def test_grafts_beyond_the_domes_room_are_flagged_when_they_are_keyed(
    bench: BenchDay, thirty: list[Plant], dome: Dome, now: datetime, key: Keying
) -> None:
    sheet = print_bench(bench.pk, 2, today=TODAY, now=now)
    room = [flag for flag in key(sheet, bench={1: BenchRow(True)}).flags if "pots of this size" in flag]
    assert len(room) == 1
    assert room[0].startswith("Dome 1, with the size of the usual tray until you measure it, holds")
    assert room[0].endswith("and 31 stand there")


def test_what_is_dated_before_its_plant_was_grafted_is_flagged_when_it_is_keyed(
    round_of_30: PrintedSheet, thirty: list[Plant], now: datetime, key: Keying
) -> None:
    graft = Event.objects.get(kind="grafted", subjects__key=thirty[2].key)
    correct(graft.pk, {"happened_at": (now + timedelta(days=4)).isoformat()}, now=now + timedelta(days=5))
    done = key(round_of_30, {2: ["bud"], 3: ["bud"]}, late=6)
    assert list(done.flags) == ["row 3, Red Tarn 3: something is recorded before the day it was grafted"]
    assert not key(round_of_30, {2: ["bud"], 3: ["bud"]}, late=7).flags, "it is said once"


def test_all_others_unchanged_says_nothing_of_what_stands_elsewhere_now(
    round_of_30: PrintedSheet, thirty: list[Plant], nursery: Nursery, now: datetime, key: Keying
) -> None:
    write_event("moved", thirty[4].key, {"stands": "bed 2"}, happened_at=now, now=now)
    key(round_of_30, {1: ["firm"]}, domes={0: WholeDome(rest=True)})
    seen = {Plant.objects.get(pk=plant.pk).last_sign for plant in thirty[1:4]}
    assert seen == {"unchanged"}
    assert Plant.objects.get(pk=thirty[4].pk).last_sign == ""
    assert Event.objects.filter(kind="observed", payload__seen="unchanged").count() == 28


def test_words_without_their_tick_are_asked_about_and_nothing_is_written(
    round_of_30: PrintedSheet, bench: BenchDay, now: datetime, key: Keying
) -> None:
    with pytest.raises(Refused, match="a cause, 'too dry', stands there without a loss"):
        key(round_of_30, {3: ["firm"]}, causes={3: "too dry"})
    sheet = print_bench(bench.pk, 2, today=TODAY, now=now)
    for row in (BenchRow(stock_mm=7.0), BenchRow(lean_mm=0.0), BenchRow(note="bleeds")):
        with pytest.raises(Refused, match="without a graft"):
            key(sheet, bench={1: BenchRow(True), 2: row})
    assert not Event.objects.filter(kind__in=("scored", "lost"), device="").exclude(kind="grafted").exists()
    assert not Plant.objects.filter(grafts__bench=bench).exists()


def test_a_bench_that_is_changed_after_printing_changes_nothing_of_what_the_paper_says(
    bench: BenchDay, nursery: Nursery, dome: Dome, now: datetime, key: Keying
) -> None:
    sheet = print_bench(bench.pk, 2, today=TODAY, now=now)
    other = save_noun(Cultivar, {"spoken": "Blue Tarn"}, now=now)
    save_noun(BenchDay, {"cultivar": other, "dome": None, "grafter": "Tobit"}, pk=bench.pk, now=now)
    key(sheet, bench={1: BenchRow(True)})
    (plant,) = Plant.objects.all()
    assert (plant.spoken, plant.dome, plant.grafts.get().grafter) == ("Red Tarn 1", dome, "")
    assert str(BenchDay.objects.get(pk=bench.pk).cultivar) == "Blue Tarn"


def test_a_bench_sheet_keeps_cut_and_lean_and_begins_with_them_again(bench: BenchDay, nursery: Nursery, now: datetime, key: Keying) -> None:
    sheet = print_bench(bench.pk, 2, today=TODAY, now=now)
    assert sheet.layout["text"]["cuts"] is True
    row = BenchRow(True, 7.0, 3.0, cut_mm=18.0, lean_mm=0.0)
    key(sheet, bench={1: row})
    graft = Plant.objects.get().grafts.get()
    assert (graft.cut_mm, graft.lean_mm) == (18.0, 0.0)
    assert ticks_standing(sheet, written_of(sheet), nursery, today=TODAY).bench[1] == row
    assert key(sheet, bench={1: BenchRow(True, 7.0, 3.0, cut_mm=18.0)}).changes.words == "1 changed"
    assert Plant.objects.get().grafts.get().lean_mm is None


def test_a_bench_sheet_keyed_again_corrects_thickness_and_brings_undone_grafts_back(bench: BenchDay, now: datetime, key: Keying) -> None:
    sheet = print_bench(bench.pk, 2, today=TODAY, now=now)
    key(sheet, bench={1: BenchRow(True, 7.0), 2: BenchRow(True)})
    assert key(sheet, bench={1: BenchRow(True, 8.0), 2: BenchRow(True)}).changes.words == "1 changed"
    undo_sheet(sheet, now=now)
    assert not Plant.objects.exists()
    key(sheet, bench={1: BenchRow(True, 9.0)})
    plant = Plant.objects.get()
    assert (plant.code_number, plant.grafts.get().stock_mm) == (sheet.layout["numbers"][0], 9.0)


def test_a_bench_sheet_keyed_again_the_same_day_keeps_the_order_of_its_rows(bench: BenchDay, nursery: Nursery, now: datetime) -> None:
    sheet = print_bench(bench.pk, 7, today=TODAY, now=now)
    made = {number: BenchRow(True, blade="changed" if number == 4 else "") for number in range(1, 7)}
    key_sheet(sheet, Ticks(TODAY, bench=made), nursery=nursery, now=now + timedelta(minutes=1))
    again = {**made, 2: BenchRow(True, blade="disinfected"), 7: BenchRow(True)}
    key_sheet(sheet, Ticks(TODAY, bench=again), nursery=nursery, now=now + timedelta(minutes=40))
    happened = [event.payload.get("how", "graft") for event in Event.objects.exclude(kind="edited").order_by("happened_at")]
    assert happened == ["graft", "disinfected", "graft", "graft", "changed", *["graft"] * 4]
    # undone as a whole and keyed afresh an hour later, with a row in between that is new
    undo_sheet(sheet, now=now + timedelta(minutes=50))
    key_sheet(sheet, Ticks(TODAY, bench={**again, 5: BenchRow(True, blade="changed")}), nursery=nursery, now=now + timedelta(minutes=90))
    moments = [record.happened_at for _, record in sorted(written_of(sheet).standing.items()) if record.kind == "grafted"]
    assert moments == sorted(moments)
    cleaned = written_of(sheet).standing["r5:changed"].happened_at
    assert moments[3] < cleaned < moments[4]


def test_a_code_that_another_graft_took_is_left_out_and_flagged(
    bench: BenchDay, nursery: Nursery, now: datetime, graft: Callable[..., Written], key: Keying
) -> None:
    from scionary.answers.bench_setting import graft_here

    sheet = print_bench(bench.pk, 2, today=TODAY, now=now)
    numbers = (sheet.layout["numbers"][0],)
    graft_here(bench, 1, stock_mm=None, scion_mm=None, nursery=nursery, now=now, event_id=uuid7(), numbers=numbers)
    done = key(sheet, bench={1: BenchRow(True), 2: BenchRow(True)})
    assert Plant.objects.count() == 2
    assert any("Red Tarn 1 was written down with this code" in flag for flag in done.flags)


def test_the_labels_of_a_bench_sheet_carry_its_codes(bench: BenchDay, nursery: Nursery, now: datetime) -> None:
    sheet = print_bench(bench.pk, 3, today=TODAY, now=now)
    assert symbol_texts(sheet_labels_pdf(sheet, nursery)) == set(sheet.layout["text"]["codes"])


def test_a_round_of_several_domes_keeps_each_row_with_its_dome(
    thirty: list[Plant], dome: Dome, graft: Callable[..., Written], now: datetime, key: Keying
) -> None:
    other = save_noun(Dome, {"name": "Dome 2"}, now=now)
    second = graft(2, days=-30, dome=other.pk).plants
    sheet = print_round([dome.pk, other.pk], today=TODAY, now=now)
    assert (sheet.dome, len(rows_of(sheet)), rows_of(sheet)[31].dome) == (None, 32, 1)
    key(sheet, {31: ["firm"], 32: ["lost"]}, domes={1: WholeDome(water=True)})
    assert states(second) == ["alive", "dead"]
    assert DomeState.objects.get().dome_id == other.pk


def test_five_hundred_rows_are_keyed_in_few_queries_and_one_more_cannot_be_printed(
    graft: Callable[..., Written],
    dome: Dome,
    now: datetime,
    key: Keying,
    django_assert_max_num_queries: Callable[..., CaptureQueriesContext],
) -> None:
    graft(500, days=-30, dome=dome.pk)
    sheet = print_round([dome.pk], today=TODAY, now=now)
    with django_assert_max_num_queries(300):
        key(sheet, {row: ["firm"] for row in range(1, 501)})
    assert Plant.objects.filter(state="alive").count() == 500
    graft(1, days=-30, dome=dome.pk)
    with pytest.raises(Refused, match="rows is 501"):
        print_round([dome.pk], today=TODAY, now=now)


def test_an_empty_dome_and_a_dome_of_nobody_are_refused_and_nothing_is_kept(dome: Dome, now: datetime) -> None:
    with pytest.raises(Refused, match="nothing stands in it that has to be looked at"):
        print_round([dome.pk], today=TODAY, now=now)
    with pytest.raises(UnknownSubject, match="no such dome"):
        print_round([Dome().pk], today=TODAY, now=now)
    with pytest.raises(Refused, match="0 domes"):
        print_round([], today=TODAY, now=now)
    assert not PrintedSheet.objects.exists()


def test_looking_at_what_would_change_writes_nothing(round_of_30: PrintedSheet, nursery: Nursery, now: datetime) -> None:
    count = Event.objects.count()
    assert changes_of(round_of_30, Ticks(TODAY, rows={1: ["firm"]}), nursery=nursery, now=now).words == "1 new"
    assert (Event.objects.count(), since_printed(round_of_30, rows_of(round_of_30))) == (count, {})


def test_the_ids_of_ticks_are_different_and_depend_on_the_sheet(round_of_30: PrintedSheet, dome: Dome, now: datetime) -> None:
    from scionary.answers.paper_slots import slot_id

    other = print_round([dome.pk], today=TODAY, now=now)
    idents = {slot_id(sheet, slot) for sheet in (round_of_30, other) for slot in slots_of(sheet)}
    assert len(idents) == 2 * len(slots_of(round_of_30))
    assert {ident.version for ident in idents} == {7}
