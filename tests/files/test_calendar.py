"""Calendar files, read back by an independent reader."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from scionary.files.calendar import Appointment, calendar_file

STAMP = datetime(2026, 2, 14, 10, 30, tzinfo=UTC)
ZURICH = ZoneInfo("Europe/Zurich")


def written(*appointments: Appointment, zone: ZoneInfo = ZURICH, name: str = "Tarn Bridge") -> bytes:
    return calendar_file(appointments, name=name, zone=zone, stamp=STAMP)


def read(data: bytes) -> Calendar:
    calendar = Calendar.from_ical(data)
    assert isinstance(calendar, Calendar)
    assert not calendar.errors
    assert not [each for part in calendar.walk() for each in part.errors]
    return calendar


def test_what_is_written_is_read_back() -> None:
    one = Appointment("a@scionary", date(2026, 3, 3), "Dome 1: open the vents", "Day 31; by degrees", "https://book.example/domes/1/")
    calendar = read(written(one))
    (event,) = calendar.walk("VEVENT")
    assert calendar["VERSION"] == "2.0"
    assert (event["UID"], event["SUMMARY"], event["DESCRIPTION"], event["URL"]) == (one.uid, one.what, one.why, one.address)
    assert event.decoded("DTSTART") == datetime(2026, 3, 3, 8, tzinfo=ZURICH)
    assert event.decoded("DURATION") == timedelta(minutes=30)
    assert event.decoded("DTSTAMP") == STAMP
    (alarm,) = event.walk("VALARM")
    assert (alarm["ACTION"], alarm.decoded("TRIGGER")) == ("DISPLAY", timedelta())


@pytest.mark.parametrize(
    "text",
    [
        "comma, semicolon; back\\slash",
        "two\nlines",
        "Ünïcode with \N{EVERGREEN TREE} and العربية",
        "x" * 500,
        "\N{EVERGREEN TREE}" * 90,
        "BEGIN:VEVENT\nEND:VCALENDAR",
        "<script>alert(1)</script>",
    ],
)
def test_any_text_comes_back_whole_and_ends_no_event(text: str) -> None:
    (event,) = read(written(Appointment("a", date(2026, 3, 3), text, text))).walk("VEVENT")
    assert (event["SUMMARY"], event["DESCRIPTION"]) == (text, text)


def test_marks_that_turn_the_direction_or_end_a_line_are_left_out() -> None:
    (event,) = read(written(Appointment("a", date(2026, 3, 3), "Red\u202e Tarn\r\x00 12"))).walk("VEVENT")
    assert event["SUMMARY"] == "Red Tarn 12"


def test_lines_are_at_most_75_octets_and_end_as_the_standard_says() -> None:
    data = written(Appointment("a", date(2026, 3, 3), "é" * 200, "Red Tarn " * 60))
    assert data.endswith(b"END:VCALENDAR\r\n")
    lines = data.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert b"\n" not in data.replace(b"\r\n", b"")
    for line in lines:
        line.decode()  # no letter is cut in two


@pytest.mark.parametrize(
    "zone", ["Europe/Zurich", "Australia/Hobart", "America/St_Johns", "Asia/Kathmandu", "UTC", "Africa/Casablanca", "Pacific/Apia"]
)
@pytest.mark.parametrize("day", [date(2026, 1, 15), date(2026, 3, 29), date(2026, 7, 15), date(2026, 10, 25), date(2027, 4, 4)])
def test_the_zone_that_is_written_gives_the_same_moments_as_the_rules_of_this_machine(zone: str, day: date) -> None:
    """The reader builds the zone from the file's own VTIMEZONE, not from its name."""
    data = written(Appointment("a", day, "x"), Appointment("b", date(2026, 6, 1), "y"), zone=ZoneInfo(zone))
    renamed = data.replace(zone.encode(), f"Of/{zone.replace('/', '-')}/{day}".encode())  # the reader remembers a zone by its name
    events = {str(event["UID"]): event for event in read(renamed).walk("VEVENT")}
    begin = events["a"].decoded("DTSTART")
    assert begin.astimezone(UTC) == datetime.combine(day, time(8), ZoneInfo(zone)).astimezone(UTC)


def test_an_empty_calendar_is_one() -> None:
    assert not read(written()).walk("VEVENT")


def test_order_and_bytes_do_not_depend_on_the_order_given() -> None:
    one, two = Appointment("a", date(2026, 3, 3), "x"), Appointment("b", date(2026, 3, 1), "y")
    assert written(one, two) == written(two, one)
    assert [event["UID"] for event in read(written(one, two)).walk("VEVENT")] == ["b", "a"]
