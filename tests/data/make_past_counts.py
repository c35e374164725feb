"""Writes past_counts.xlsx: counts such as "8/10 took", titles above the header, comments on cells, a date where a count was meant."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import xlsxwriter

HEADERS = ("Variety", "When", "Type of graft", "Stock lot", "Qty", "Result", "Tray", "Notes")
ROWS = (
    ("Red Tarn", dt.date(2025, 2, 18), "side veneer", "S3 2024", 10, "8/10 took", "dome 1", ""),
    ("Ash Gill", dt.date(2025, 2, 18), "side veneer", "S3 2024", 10, "7 of 10", "dome 1", "two with thin bark"),
    ("Lanthorn", dt.date(2025, 2, 19), "splice", "S3 2024", 6, "all took", "dome 2", ""),
    ("Fell Lace", dt.date(2025, 2, 19), "splice", "S3 2024", 6, "none", "dome 2", "overheated on the Sunday"),
    ("Merrybeck", dt.date(2025, 2, 21), "side veneer", "S4 2024", 8, 5, "dome 2", ""),
    ("High Sallow", "March 2025", "side veneer", "S4 2024", 5, "4 took, 1 weak", "dome 3", ""),
    ("Old Fold", "March 2025", "whip", "S4 2024", 4, "?", "dome 3", "not looked at"),
    ("Long Rigg", "early March 2025", "whip", "S4 2024", 4, "", "dome 3", ""),
    ("Grey Yowe", dt.date(2025, 3, 12), "whip", "S4 2024", 5, "6/5", "dome 3", "miscounted"),
    ("Black Sike", dt.date(2025, 3, 12), "whip", "S4 2024", "", "3/4", "dome 3", ""),
    ("Tinker's Hat", dt.date(2025, 3, 12), "whip", "?", "", 3, "dome 3", ""),
    ("Red Tarn", dt.date(2025, 3, 14), "bud", "S4 2024", 10, dt.date(2025, 10, 8), "dome 4", "typed as 8/10"),
    ("Red Tam", dt.date(2025, 3, 14), "bud", "S4 2024", 4, "3/4 took", "dome 4", ""),
    ("Winter Ghyll", dt.date(2025, 1, 30), "whip", "H2 2023", 12, "11/12", "warm bench", ""),
    ("Pale Beacon", dt.date(2025, 1, 30), "whip", "H2 2023", 6, "83 %", "warm bench", ""),
    ("Cold Scar", "12/3", "whip", "B1 2023", 4, "2/4", "warm bench", ""),
    ("Cold Scar", dt.date(2025, 4, 2), "whip", "B1 2023", 1, "took", "warm bench", ""),
    ("Ash Gill", dt.date(2025, 8, 5), "side veneer", "S3 2024", 6, "5/6 (one slow)", "dome 1", "summer wood"),
    ("Fell Lace", dt.date(2025, 8, 5), "side veneer", "S3 2024", 6, "took", "dome 1", "summer wood"),
)
COMMENTS = {
    "F6": "Two more looked doubtful in April and were in leaf by June.",
    "E10": "One stock split while cutting, so 8 and not 9.",
    "A18": "Name from the tag; the tag had been in the sun.",
}


def main() -> None:
    """Write the file beside this script."""
    book = xlsxwriter.Workbook(Path(__file__).with_name("past_counts.xlsx"))
    book.set_properties({"created": dt.datetime(2025, 9, 1)})
    page = book.add_worksheet("Grafts 2025")
    title = book.add_format({"bold": True, "align": "center", "font_size": 14})
    day = book.add_format({"num_format": "d mmm yyyy"})
    page.merge_range("A2:H2", "Tarn Bridge: grafts of 2025", title)
    page.merge_range("A3:H3", "counted at the end of June", title)
    for column, header in enumerate(HEADERS):
        page.write_string(4, column, header)
    for number, row in enumerate(ROWS, 5):
        for column, value in enumerate(row):
            if isinstance(value, dt.date):
                page.write_datetime(number, column, dt.datetime.combine(value, dt.time()), day)
            elif value != "":
                page.write(number, column, value)
    page.write_string(len(ROWS) + 6, 0, "Total")
    page.write_formula(len(ROWS) + 6, 4, f"=SUM(E6:E{len(ROWS) + 5})", None, sum(row[4] for row in ROWS if isinstance(row[4], int)))
    for cell, text in COMMENTS.items():
        page.write_comment(cell, text)
    book.add_worksheet("Empty")
    book.close()


if __name__ == "__main__":
    main()
