"""Numbers as people say them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from django.utils.dateformat import format as date_format

from scionary.language import mark, say, several

TELLS_APART = 0.8  # chance from which a difference is called one, everywhere; project default, unsourced
_ORDINARY = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")  # as typed, too
_TENTHS = (
    mark("one year in ten"),
    mark("two years in ten"),
    mark("three years in ten"),
    mark("four years in ten"),
    mark("five years in ten"),
    mark("six years in ten"),
    mark("seven years in ten"),
    mark("eight years in ten"),
    mark("nine years in ten"),
)


def read_whole(text: str) -> int | None:
    """A whole number in figures, or in words up to twelve; "a" and "an" are one."""
    word = text.strip().casefold()
    if word.isascii() and word.isdigit():
        return int(word)
    return 1 if word in ("a", "an") else _ORDINARY.index(word) if word in _ORDINARY[1:] else None


def percent(share: float) -> str:
    """62 % for 0.62; never 0 or 100 for what is merely near."""
    value = round(share * 100)
    if value == 0 and share > 0:
        return say("under 1 %")
    if value == 100 and share < 1:
        return say("over 99 %")
    return f"{value} %"


def percent_range(low: float, high: float) -> str:
    """30 to 75 %; 60 to over 99 %."""
    return say("{low} to {high}", low=percent(low).removesuffix(" %"), high=percent(high))


def count_range(low: int, mid: int, high: int, of: int) -> str:
    """7 of 10; between 5 and 9."""
    if low == high:
        return say("{mid} of {all}", mid=mid, all=of)
    return say("{mid} of {all}; between {low} and {high}", mid=mid, all=of, low=low, high=high)


def how_sure(share: float) -> str:
    """Nine years in ten, for an assurance of 0.9."""
    tenths = round(share * 10)
    if abs(share * 10 - tenths) < 1e-9 and 1 <= tenths <= 9:
        return say(_TENTHS[tenths - 1])
    return say("{years} years in a hundred", years=round(share * 100))


def plural(count: int, one: str, many: str | None = None) -> str:
    """1 graft, 2 grafts."""
    return f"{count} {several(count, one, many or one + 's')}"


def listed(names: Sequence[str], *, most: int = 6, of: int | None = None) -> str:
    """Red Tarn 1, Ash Gill 2 and 4 more; `of` is how many there are, where not all are given."""
    shown = list(names[:most])
    rest = (len(names) if of is None else of) - len(shown)
    if rest:
        return say("{shown} and {rest} more", shown=", ".join(shown), rest=rest)
    return say("{names} and {last}", names=", ".join(shown[:-1]), last=shown[-1]) if len(shown) > 1 else "".join(shown)


def day_words(day: date) -> str:
    """14 February 2026."""
    return date_format(day, say("j F Y"))


def short_day(day: date) -> str:
    """14 Feb 2026."""
    return date_format(day, say("j M Y"))


def weekday_words(day: date) -> str:
    """Sat 14 Feb 2026."""
    return date_format(day, say("D j M Y"))


def weekday_date(day: date) -> str:
    """Sat 14 Feb, of a day whose year is plain."""
    return date_format(day, say("D j M"))


def weekday_number(day: date) -> str:
    """Sat 14."""
    return date_format(day, say("D j"))


def weekday_soon(day: date) -> str:
    """Saturday 14 February, of a day whose year is plain."""
    return date_format(day, say("l j F"))


def day_soon(day: date) -> str:
    """14 February, of a day whose year is plain."""
    return date_format(day, say("j F"))


def date_soon(day: date) -> str:
    """14 Feb, of a day whose year is plain."""
    return date_format(day, say("j M"))


def month_words(day: date) -> str:
    """February 2026."""
    return date_format(day, say("F Y"))


def moment_words(moment: datetime) -> str:
    """Sat 14 Feb 09:30; a moment is given in the zone in which it is told."""
    return date_format(moment, say("D j M H:i"))


def share_words(low: float, high: float) -> str:
    """A plain remark on how much a range says."""
    width = high - low
    if width > 0.6:
        return say("that says little")
    if width > 0.35:
        return say("that is a first hint")
    return say("that is worth something")
