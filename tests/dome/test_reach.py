"""The table of what the dome's physics reaches: its lines, and its place on the page."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent.parent.parent / "benchmarks"))
import dome_reach
from dome_reach import ROOT, Row


def test_a_line_says_whether_its_aim_is_met():
    lines = [Row("width", "at most 1", "2", met).line() for met in (True, False, None)]
    assert [line.split(" | ")[3] for line in lines] == ["yes |", "**no** |", "– |"]


def test_the_table_goes_between_its_marks_and_nowhere_else(tmp_path):
    page = tmp_path / "page.md"
    page.write_text(f"before\n{dome_reach.START}\nold\n{dome_reach.END}\nafter\n", encoding="utf-8")
    dome_reach.write(dome_reach.table([Row("width", "none", "2", None)]), page)
    text = page.read_text(encoding="utf-8")
    assert text.startswith(f"before\n{dome_reach.START}\nMeasured ")
    assert text.endswith(f"{dome_reach.END}\nafter\n")
    assert "old" not in text


def test_a_page_without_marks_is_left_alone(tmp_path):
    page = tmp_path / "page.md"
    page.write_text("nothing here\n", encoding="utf-8")
    with pytest.raises(SystemExit, match="no place for the table"):
        dome_reach.write("table", page)
    assert page.read_text(encoding="utf-8") == "nothing here\n"


def test_the_page_has_a_place_for_the_table_and_misses_no_aim():
    text = (ROOT / "docs" / "air.md").read_text(encoding="utf-8")
    table = text.partition(dome_reach.START)[2].partition(dome_reach.END)[0]
    assert "| 30 years hourly" in table
    assert "**no**" not in table


def test_balances_are_measured_and_met():
    rows = list(dome_reach.truth_rows(days=2))
    assert len(rows) == 4
    assert all(row.met for row in rows)
