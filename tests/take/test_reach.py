"""The table of what take rates reach: its lines, and its place on a page."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent.parent.parent / "benchmarks"))
import take_calibration
import take_reach
from take_reach import Row

MET, MISSED, TOLD = (Row("width", "at most 1", "2", met, "here") for met in (True, False, None))


def test_a_line_says_whether_its_aim_is_met():
    assert [row.line().split(" | ")[3] for row in (MET, MISSED, TOLD)] == ["yes", "**no**", "–"]


def test_the_table_goes_between_its_marks_and_nowhere_else(tmp_path):
    page = tmp_path / "page.md"
    page.write_text(f"before\n{take_reach.START}\nold\n{take_reach.END}\nafter\n", encoding="utf-8")
    take_reach.write(take_reach.table([MET]), page)
    text = page.read_text(encoding="utf-8")
    assert text.startswith(f"before\n{take_reach.START}\n| what | aim |")
    assert text.endswith(f"{take_reach.END}\nafter\n")
    assert "old" not in text


def test_a_page_without_marks_is_left_alone(tmp_path):
    page = tmp_path / "page.md"
    page.write_text("nothing here\n", encoding="utf-8")
    with pytest.raises(SystemExit, match="no place for the table"):
        take_reach.write("table", page)
    assert page.read_text(encoding="utf-8") == "nothing here\n"


def coverage(**changed):
    figures = dict.fromkeys(("reference", "long_run", "total", "needed"), 0.9) | {"total_without_luck": 0.6} | changed
    return take_calibration.Coverage("none", 1000, **figures, thin_error=0.09, thin_raw_error=0.2, error_share=0.45)


def test_a_range_that_holds_too_little_or_too_much_misses_its_aim():
    for total, met in ((0.86, False), (0.9, True), (0.94, False)):
        row = next(row for row in take_reach.faultless_rows(coverage(total=total), "here") if "total holds" in row.what)
        assert row.met is met


def test_a_check_that_does_not_fail_without_luck_is_a_miss():
    for without, met in ((0.6, True), (0.9, False)):
        rows = take_reach.faultless_rows(coverage(total_without_luck=without), "here")
        assert next(row.met for row in rows if row.aim == "must fail") is met
