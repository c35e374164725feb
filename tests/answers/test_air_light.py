"""The light of a logger's file in words: whole days alone, and what it was taken to be."""

import pytest

from scionary.answers.air_light import daylight_of, light_facts, light_words
from scionary.book.models import Nursery
from scionary.errors import Refused
from scionary.files.loggers import read_logger

VIENNA = Nursery(time_zone="Europe/Vienna")


def log(header, shone, *, hours=range(72)):
    """Three days at Vienna's clock, lit from 8 to 18."""
    rows = [f"2026-11-{20 + hour // 24} {hour % 24:02d}:00,21,92,{shone if 8 <= hour % 24 < 18 else 0}" for hour in hours]
    return read_logger("\n".join([f"Time,Temp (°C),RH (%),{header}", *rows]).encode(), name="a.csv", time_zone="Europe/Vienna")


@pytest.mark.parametrize(
    ("header", "shone", "shines", "mol"),
    [
        ("Light (lux)", 5400, "sun", 100 * 36_000e-6),
        ("Light (lux)", 7100, "metal_halide", 100 * 36_000e-6),
        ("PPFD", 100, "sun", 100 * 36_000e-6),
        ("PAR W/m2", 100, "sun", 457 * 36_000e-6),
        ("Solar W/m2", 100, "sun", 206 * 36_000e-6),
    ],
)
def test_ten_hours_of_light_are_so_many_moles(header, shone, shines, mol):
    found = daylight_of(log(header, shone), VIENNA, shines)
    assert (found.mean, found.low, found.high) == pytest.approx((mol, mol, mol))
    assert found.whole_days == 3


def test_a_day_with_a_hole_is_left_out_and_not_called_dark():
    found = daylight_of(log("PPFD", 100, hours=[*range(34), *range(40, 72)]), VIENNA)
    assert (found.whole_days, found.days) == (2, 3)
    assert found.low == pytest.approx(3.6)


def test_without_a_whole_day_nothing_is_told():
    facts = light_facts(daylight_of(log("PPFD", 100, hours=range(6, 20)), VIENNA))
    assert [fact.value for fact in facts] == ["not known"]


def test_what_it_was_taken_for_is_said_and_that_the_book_keeps_none():
    words = light_words(log("Light (lux)", 5400), VIENNA)
    assert "3.6 mol/m² on the mean of 3 whole days" in words
    assert "Taken as light of sun and sky: 54 lux to 1 µmol/m²/s" in words
    assert words.endswith("The book keeps no light.")
    assert light_words(log("Battery (V)", 3), VIENNA) == ""


def test_a_lamps_energy_of_all_wavelengths_tells_no_light():
    with pytest.raises(Refused, match="counts all of the sun's energy"):
        daylight_of(log("Solar W/m2", 100), VIENNA, "metal_halide")
