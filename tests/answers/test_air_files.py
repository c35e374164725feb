"""Logger files without a book: in whose clock they are shown, and the words for it."""

from datetime import datetime

import pytest

from scionary.answers.air import air_of_readings
from scionary.answers.air_files import clock_note, with_offset
from scionary.book.models import Nursery
from scionary.files.loggers import read_logger


def read(header, stamps, machine):
    text = "\n".join([f"{header},Temp (°C),RH (%)", *(f"{at},{34 if '12:' in at else 21},92" for at in stamps)])
    return read_logger(text.encode(), name="a.csv", time_zone=machine)


HOURS = [f"2026-11-20 {hour:02d}:00" for hour in range(24)]
SUMMER_AND_WINTER = ["2026-10-24 12:00+02:00", "2026-10-26 12:00+01:00"]


@pytest.mark.parametrize(
    ("header", "stamps", "said", "shown_in"),
    [
        ("Time", HOURS, "taken to run in Europe/Vienna, as this machine does", "Europe/Vienna"),
        ("Date Time, GMT-05:00".replace(",", ""), HOURS, "its times are UTC-05:00, and they are shown so", "Etc/GMT+5"),
        ("Time (UTC)", HOURS, "its times are UTC+00:00, and they are shown so", "UTC"),
        ("Time", [f"{at}+10:00" for at in HOURS], "its times are UTC+10:00, and they are shown so", "Etc/GMT-10"),
        ("Time GMT+05:30", HOURS, "its times are UTC+05:30; shown in Europe/Vienna", "Europe/Vienna"),
        ("Time", SUMMER_AND_WINTER, "Each row says how far its time is from UTC; shown in Europe/Vienna", "Europe/Vienna"),
    ],
)
def test_a_file_that_stands_alone_is_shown_in_its_own_clock_where_it_names_one(header, stamps, said, shown_in):
    nursery = Nursery(time_zone="Europe/Vienna")
    assert said in clock_note(read(header, stamps, nursery.time_zone), nursery)
    assert nursery.time_zone == shown_in


def test_noon_of_a_log_from_far_away_is_noon_in_its_report():
    nursery = Nursery(time_zone="Europe/Vienna")
    log = read("Time GMT-05:00", HOURS, nursery.time_zone)
    clock_note(log, nursery)
    answer = air_of_readings("a.csv", *with_offset(log, 0.0), nursery)
    assert [each.begin for each in answer.episodes if each.kind == "heat"] == [datetime(2026, 11, 20, 12, tzinfo=nursery.zone)]


@pytest.mark.parametrize("machine", ["UTC", "UTC+1"])
def test_a_zone_that_the_machine_names_is_not_the_files_own(machine):
    understood = read("Time", HOURS, machine).understood
    assert (understood.own_clock, understood.utc_offset_s) == (False, None)
