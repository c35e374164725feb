"""The air report as a PDF: what it says, and a curve that does not bridge gaps."""

import numpy as np
import pypdfium2

from scionary.files.air_sheet import AirSheetText, Panel, _kept, air_sheet

TIMES = np.arange(0, 3000 * 600.0, 600.0)


def sheet(stretches: list[str], *, page: str = "A4") -> pypdfium2.PdfDocument:
    values = 20 + 5 * np.sin(TIMES / 13_000)
    values[1000:1400] = np.nan
    text = AirSheetText(
        title="Air by porch.csv",
        sentence="Too hot on Thursday.",
        why="3000 readings.",
        times=TIMES,
        panels=[Panel("Temperature", values, [(30.0, "harm above 30 °C")], 10.0, 35.0, "°C")],
        shaded=[(0.0, 6000.0, False), (TIMES[1000], TIMES[1400], True)],
        days=[(TIMES[0], "1 Feb")],
        facts=[("Above 30 °C", "2.5 h", "")],
        stretches=stretches,
        notes=["no unit is named"],
        limits=[("harm above", "30 °C", "grower guides, weak")],
        printed="Printed today",
        page=page,
    )
    return pypdfium2.PdfDocument(air_sheet(text))


def words_of(document: pypdfium2.PdfDocument) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in document)


def test_everything_that_was_asked_stands_on_it() -> None:
    said = words_of(sheet(["Thu 05 Feb 13:20: too hot for 2.5 h"]))
    for words in ("Too hot on Thursday.", "Above 30 °C: 2.5 h", "too hot for 2.5 h", "no unit is named", "harm above 30 °C (grower guides"):
        assert words in said


def test_many_stretches_take_more_pages_and_the_rest_is_counted() -> None:
    document = sheet([f"stretch number {number}" for number in range(75)], page="letter")
    assert len(document) > 1
    said = words_of(document)
    assert "stretch number 59" in said
    assert "stretch number 60" not in said
    assert "15 more" in said


def test_a_thinned_curve_keeps_its_peaks_and_its_gaps() -> None:
    values = np.sin(TIMES / 13_000)
    values[777], values[2000:2003] = 9.0, np.nan
    kept = _kept(values)
    assert len(kept) < 1300
    assert {777, 2000} <= set(kept)


def test_the_same_report_gives_the_same_bytes() -> None:
    assert words_of(sheet([])) == words_of(sheet([]))
    assert "None." in words_of(sheet([]))
