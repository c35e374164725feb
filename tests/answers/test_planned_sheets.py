"""Bench sheets of a planned week: a bench day and codes for each kind, kept, keyed back like any other, never printed twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from scionary.answers.paper_drawn import sheet_pdf
from scionary.answers.paper_keying import key_sheet
from scionary.answers.paper_ticks import BenchRow, Ticks
from scionary.answers.planned_sheets import print_week, week_sheets
from scionary.answers.schedule_asking import take_schedule
from scionary.book.commands import Written
from scionary.book.models import BenchDay, Cultivar, Dome, Graft, Method, MotherTree, Nursery, PrintedSheet, RootstockLot
from scionary.errors import Refused
from scionary.names import code_of
from web.made_schedule import a_schedule

pytestmark = pytest.mark.django_db
MONDAY, TODAY = date(2026, 7, 6), date(2026, 7, 8)
AT = datetime.fromisoformat("2026-07-08T07:00:00+02:00")


@pytest.fixture
def planned(nursery: Nursery, cultivar: Cultivar, dome: Dome, method: Method, lot: RootstockLot, tree: MotherTree, now: datetime) -> None:
    """Five Red Tarn, and 130 more on stocks that are to be ordered, in one week."""
    told = {"name": "Red Tarn", "cultivar": str(cultivar.pk), "week": MONDAY, "method": method.name, "pot": "4-inch square"}
    row = replace(a_schedule().rows[0], **told, grafts=5, domes=("Dome 1",), lot="24-B", tree=tree.name, ordered=False)  # type: ignore[arg-type]
    many = replace(row, number=2, grafts=130, domes=(), lot="Acer, to order", ordered=True)
    take_schedule(a_schedule(season=2026, rows=(row, many)), now=now)


def test_each_row_has_a_bench_day_as_planned_and_a_sheet_with_a_code_for_each_graft(planned: None, nursery: Nursery) -> None:
    sheets = print_week(nursery, MONDAY, today=TODAY, now=AT)
    assert [len(sheet.layout["text"]["codes"]) for sheet in sheets] == [5, 100, 30]
    codes = [code for sheet in sheets for code in sheet.layout["text"]["codes"]]
    assert len(set(codes)) == 135
    bench = sheets[0].bench
    assert bench is not None
    set_for = (str(bench.cultivar), str(bench.method), str(bench.lot), str(bench.tree), str(bench.dome), str(bench.pot_kind), bench.day)
    assert set_for == (
        "Red Tarn", "Side graft, leafy, summer", "24-B", "the old tree by the gate", "Dome 1", "4-inch square", TODAY,
    )  # fmt: skip
    second = sheets[1].bench
    assert second is not None
    assert (second.lot, second.dome) == (None, None)
    assert sheet_pdf(sheets[0]).startswith(b"%PDF")


def test_sheets_are_listed_with_their_week_and_not_printed_twice(planned: None, nursery: Nursery) -> None:
    (before,) = week_sheets(nursery, TODAY)
    assert before.sheets == ()
    print_week(nursery, MONDAY, today=TODAY, now=AT)
    (after,) = week_sheets(nursery, TODAY)
    assert [words for _, words in after.sheets] == [f"{count} Red Tarn, Side graft, leafy, summer" for count in (5, 100, 30)]
    with pytest.raises(Refused, match="printed already"):
        print_week(nursery, MONDAY, today=TODAY, now=AT)
    assert (BenchDay.objects.count(), PrintedSheet.objects.count()) == (2, 3)


def test_only_what_is_left_gets_codes(planned: None, nursery: Nursery, graft: Callable[..., Written]) -> None:
    graft(7, happened_at=AT - timedelta(days=1))
    sheets = print_week(nursery, MONDAY, today=TODAY, now=AT)
    assert [len(sheet.layout["text"]["codes"]) for sheet in sheets] == [100, 28]


def test_a_coming_week_s_bench_is_set_for_its_monday_and_a_week_without_grafts_is_refused(planned: None, nursery: Nursery) -> None:
    sheets = print_week(nursery, MONDAY, today=MONDAY - timedelta(days=10), now=AT - timedelta(days=12))
    assert sheets[0].bench is not None
    assert sheets[0].bench.day == MONDAY
    with pytest.raises(Refused, match="nothing is left"):
        print_week(nursery, MONDAY + timedelta(days=7), today=TODAY, now=AT)


def test_keyed_back_the_grafts_are_made_as_planned_and_the_week_is_done(planned: None, nursery: Nursery, method: Method) -> None:
    sheet = print_week(nursery, MONDAY, today=TODAY, now=AT)[0]
    rows = {number: BenchRow(made=True) for number in range(1, 6)}
    key_sheet(sheet, Ticks(TODAY, bench=rows), nursery=nursery, now=AT + timedelta(hours=9))
    made = list(Graft.objects.select_related("plant", "method", "tree"))
    assert {code_of(graft.plant.code_number) for graft in made if graft.plant.code_number is not None} == set(sheet.layout["text"]["codes"])
    assert {(str(graft.method), str(graft.tree)) for graft in made} == {(method.name, "the old tree by the gate")}
    (week,) = week_sheets(nursery, TODAY)
    assert [kind.left for kind in week.week.kinds] == [130]
