"""A logger's column of light: found by its header's unit, blanked where no sensor can say it."""

import numpy as np
import pytest

from scionary.errors import BadFile
from scionary.files.logger_light import light_unit
from scionary.files.loggers import read_logger


def read(header, cells, **how):
    rows = [f"2026-11-20 {hour:02d}:00,21,92,{cell}" for hour, cell in enumerate(cells)]
    return read_logger("\n".join([f"Time,Temp (°C),RH (%),{header}", *rows]).encode(), name="a.csv", time_zone="UTC", **how)


@pytest.mark.parametrize(
    ("header", "unit"),
    [
        ("Light (lux)", "lux"),
        ("Beleuchtung [klx]", "lux"),
        ("PPFD", "µmol/m²/s"),
        ("PAR (µmol/m2/s)", "µmol/m²/s"),
        ("PAR, W/m2", "W/m² of 400-700 nm"),
        ("Solar W/m2", "W/m²"),
        ("Globalstrahlung (W m-2)", "W/m²"),
        ("Light", ""),
        ("deluxe", ""),
        ("Battery (V)", ""),
    ],
)
def test_a_header_names_a_unit_of_light_or_none(header, unit):
    assert light_unit(header) == unit


def test_light_is_read_beside_temperature_and_humidity_and_thousands_of_lux_as_such():
    found = read("Light (klux)", ["0", "12.5"])
    assert found.light.tolist() == [0.0, 12_500.0]
    assert (found.understood.light_column, found.understood.light_unit, found.understood.unread) == ("Light (klux)", "lux", ())


def test_a_little_below_nothing_is_nothing_and_what_cannot_be_is_blank_and_told():
    found = read("Solar W/m2", ["-3", "800", "9999", "-400"])
    assert found.light[:2].tolist() == [0.0, 800.0]
    assert np.isnan(found.light[2:]).all()
    assert found.problem_counts == {"light outside 0 to 1500 W/m²: left blank": 2}


def test_of_two_columns_of_light_none_is_taken_until_one_is_named():
    header, cells = "Light (lux),Solar W/m2", ["10,1", "20,2"]
    assert read(header, cells).understood.unread == ("Light (lux)", "Solar W/m2")
    assert read(header, cells, columns={"light": 5}).light.tolist() == [1.0, 2.0]


def test_a_column_that_is_named_as_light_needs_a_unit():
    with pytest.raises(BadFile, match="names no unit of light"):
        read("Light", ["1", "2"], columns={"light": "Light"})


def test_a_row_without_its_last_cell_of_light_keeps_its_air():
    text = "Time,Temp (°C),RH (%),Light (lux)\n2026-11-20 00:00,21,92,5\n2026-11-20 01:00,22,93\n2026-11-20 02:00,23,94,7\n"
    found = read_logger(text.encode(), name="a.csv", time_zone="UTC")
    assert found.temperature_c.tolist() == [21.0, 22.0, 23.0]
    assert np.isnan(found.light).tolist() == [False, True, False]
