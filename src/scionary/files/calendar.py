"""Dates as a calendar file by RFC 5545: whole days at a time of day of the nursery, with an alarm and names that stay the same."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

_LONGEST = 75  # octets of a line, RFC 5545 section 3.1
_ESCAPED = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n", "\r": ""}


@dataclass(frozen=True)
class Appointment:
    """One thing on one day. `uid` stays the same when its day or words change."""

    uid: str
    day: date
    what: str
    why: str = ""
    address: str = ""


def calendar_file(
    appointments: Iterable[Appointment], *, name: str, zone: ZoneInfo, stamp: datetime, at: time = time(8), lasts_min: int = 30
) -> bytes:
    """The appointments as one VCALENDAR, each at the same time of day in the nursery's zone, with an alarm when it begins.

    Parameters
    ----------
    appointments : iterable of Appointment
        In any order; they are written by day and uid.
    name : str
        What the calendar is called.
    zone : ZoneInfo
        The nursery's zone; its rule for the years around is written with it, so that a program need not know it.
    stamp : datetime
        When the record that this is made from last changed, with a zone.
    at : time
        The time of day.
    lasts_min : int
        How long each stands in the calendar.
    """
    listed = sorted(appointments, key=lambda each: (each.day, each.uid))
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Scionary//Due//EN", "CALSCALE:GREGORIAN", "METHOD:PUBLISH"]
    lines += [f"X-WR-CALNAME:{_text(name)}", f"X-WR-TIMEZONE:{zone.key}", "REFRESH-INTERVAL;VALUE=DURATION:PT6H"]
    lines += _zone_lines(zone, [each.day.year for each in listed] or [stamp.year])
    for each in listed:
        lines += _event(each, zone, stamp, at, lasts_min)
    lines.append("END:VCALENDAR")
    return "".join(f"{_folded(line)}\r\n" for line in lines).encode()


def _event(each: Appointment, zone: ZoneInfo, stamp: datetime, at: time, lasts_min: int) -> list[str]:
    begin = datetime.combine(each.day, at)
    moment = f"{stamp.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    return [
        "BEGIN:VEVENT",
        f"UID:{_text(each.uid)}",
        f"DTSTAMP:{moment}",
        f"LAST-MODIFIED:{moment}",
        f"DTSTART;TZID={zone.key}:{begin:%Y%m%dT%H%M%S}",
        f"DURATION:PT{lasts_min}M",
        f"SUMMARY:{_text(each.what)}",
        *([f"DESCRIPTION:{_text(each.why)}"] if each.why else []),
        *([f"URL:{each.address}"] if each.address else []),
        "TRANSP:TRANSPARENT",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{_text(each.what)}",
        "TRIGGER:PT0S",
        "END:VALARM",
        "END:VEVENT",
    ]


def _zone_lines(zone: ZoneInfo, years: Sequence[int]) -> list[str]:
    """The zone's offsets in the years that are asked for, one entry a change; an offset that never changes is one entry."""
    changes = [change for year in range(min(years) - 1, max(years) + 1) for change in _changes(zone, year)]
    first = datetime(min(years) - 1, 1, 1, tzinfo=zone)
    rows = [(datetime(1970, 1, 1), first.utcoffset(), first.utcoffset(), bool(first.dst()), first.tzname() or "")]
    rows += [
        ((moment.astimezone(UTC) + before).replace(tzinfo=None), before, after, dst, name) for moment, before, after, dst, name in changes
    ]
    lines = ["BEGIN:VTIMEZONE", f"TZID:{zone.key}"]
    for begin, before, after, dst, name in rows:
        kind = "DAYLIGHT" if dst else "STANDARD"
        lines += [f"BEGIN:{kind}", f"DTSTART:{begin:%Y%m%dT%H%M%S}", f"TZOFFSETFROM:{_offset(before)}", f"TZOFFSETTO:{_offset(after)}"]
        lines += [f"TZNAME:{_text(name)}", f"END:{kind}"]
    return [*lines, "END:VTIMEZONE"]


def _changes(zone: ZoneInfo, year: int) -> list[tuple[datetime, timedelta, timedelta, bool, str]]:
    """When the zone's offset changes in a year: (moment, before, after, summer time, name), found to the second by halving."""
    found = []
    here = datetime(year, 1, 1, tzinfo=UTC)
    for _ in range(366):
        there = here + timedelta(days=1)
        before, after = _at(zone, here), _at(zone, there)
        if before != after:
            low, high = here, there
            while high - low > timedelta(seconds=1):
                middle = low + (high - low) / 2
                middle = middle.replace(microsecond=0)
                low, high = (middle, high) if _at(zone, middle) == before else (low, middle)
            local = high.astimezone(zone)
            found.append((high, before, after, bool(local.dst()), local.tzname() or ""))
        here = there
    return found


def _at(zone: ZoneInfo, moment: datetime) -> timedelta:
    return moment.astimezone(zone).utcoffset() or timedelta()


def _offset(offset: timedelta | None) -> str:
    minutes, seconds = divmod(int((offset or timedelta()).total_seconds()), 60)
    sign = "-" if minutes < 0 else "+"
    hours, minutes = divmod(abs(minutes), 60)
    return f"{sign}{hours:02d}{minutes:02d}{f'{seconds:02d}' if seconds else ''}"


def _text(value: str) -> str:
    """Text as RFC 5545 section 3.3.11 writes it."""
    plain = "".join(letter for letter in value if letter.isprintable() or letter == "\n")
    return "".join(_ESCAPED.get(letter, letter) for letter in plain)


def _folded(line: str) -> str:
    """A line of at most 75 octets, the rest on lines that begin with a space; no letter is cut in two."""
    parts: list[str] = []
    part, size = "", 0
    for letter in line:
        length = len(letter.encode())
        if size + length > _LONGEST - bool(parts):
            parts.append(part)
            part, size = "", 0
        part += letter
        size += length
    return "\r\n ".join([*parts, part])
