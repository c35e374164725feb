"""The weeks of a season in drawing units: each filling is the dome that stands over it, hours at the bench lie under them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from scionary.answers.schedule import Schedule, ScheduleWeek
from scionary.answers.schedule_fillings import Filling, fillings_of, is_quiet
from scionary.answers.words import date_soon, plural, short_day
from scionary.language import say

WEEK, NAMES = 44.0, 104.0
_QUIET, _LEAST_QUIET = 26.0, 3  # a stretch of so many weeks with nothing to draw is drawn as one narrow column
_HEAD, _BAND, _ROW, _HOURS, _EDGE = 34.0, 30.0, 72.0, 62.0, 3.0
_ARCH, _ROUND, _FULL = 46.0, 22.0, 22.0  # the dome's height, its rounding, and how high its grafts stand when it is full
MOST_DRAWN = 12  # of more domes the others are folded
_LETTER = 5.7  # a small letter is about so wide


@dataclass(frozen=True)
class Column:
    """A week, or a stretch of weeks in which nothing stands."""

    x: float
    width: float
    words: str
    day: str
    number: int
    quiet: bool

    @property
    def middle(self) -> float:
        return round(self.x + self.width / 2, 1)


@dataclass(frozen=True)
class Age:
    """The week that grafts are in, from 1."""

    x: float
    said: int


@dataclass(frozen=True)
class Arch:
    """What stands in a dome from one week to another."""

    kind: str
    path: str
    foot: float
    left: float
    width: float
    level: float
    label: str
    count: str
    words: str
    mixed: bool
    ages: tuple[Age, ...]

    @property
    def level_y(self) -> float:
        return round(self.foot - self.level, 1)

    @property
    def label_y(self) -> float:
        return self.foot - _FULL - 5.0

    @property
    def count_y(self) -> float:
        return self.foot - 7.0

    @property
    def age_y(self) -> float:
        return self.foot + 13.0

    @property
    def text_x(self) -> float:
        return self.left + 6.0


@dataclass(frozen=True)
class DomeRow:
    """One dome."""

    name: tuple[str, ...]
    full_name: str
    foot: float
    arches: tuple[Arch, ...]

    @property
    def first_y(self) -> float:
        return self.foot - (18.0 if len(self.name) == 1 else 24.0)

    @property
    def second_y(self) -> float:
        return self.foot - 11.0


@dataclass(frozen=True)
class Band:
    """When a method is open."""

    name: tuple[str, ...]
    full_name: str
    y: float
    lines: tuple[tuple[float, float], ...]

    @property
    def text_y(self) -> float:
        return self.y + 4.0

    @property
    def line_y(self) -> float:
        return self.y - 3.0


@dataclass(frozen=True)
class HoursBar:
    """Hours at the bench in a week; `there` is None where they do not limit."""

    x: float
    width: float
    used_y: float
    used: float
    there_y: float
    there: float | None
    said: str
    words: str
    over: bool

    @property
    def middle(self) -> float:
        return round(self.x + self.width / 2, 1)


@dataclass(frozen=True)
class WeeksPicture:
    """The whole drawing; the names are a second one, which stays where it is while the weeks scroll."""

    width: float
    height: float
    columns: tuple[Column, ...]
    bands: tuple[Band, ...]
    rows: tuple[DomeRow, ...]
    hours: tuple[HoursBar, ...]
    hours_foot: float
    names: float = NAMES

    @property
    def hours_name_y(self) -> float:
        return self.hours_foot - 16.0

    @property
    def number_y(self) -> float:
        return 27.0

    @property
    def hours_said_y(self) -> float:
        return self.hours_foot + 13.0


def weeks_pictures(schedule: Schedule) -> tuple[WeeksPicture | None, WeeksPicture | None, int]:
    """The drawing, that of the domes that are folded because there are many, and how many these are."""
    count = len(schedule.weeks[0].domes) if schedule.weeks else 0
    if count <= MOST_DRAWN + 2:
        return weeks_picture(schedule), None, 0
    return weeks_picture(schedule, slice(MOST_DRAWN)), weeks_picture(schedule, slice(MOST_DRAWN, None)), count - MOST_DRAWN


def weeks_picture(schedule: Schedule, domes: slice = slice(None)) -> WeeksPicture | None:
    """The drawing of a schedule, or of some of its domes; None where there is nothing to draw."""
    weeks = schedule.weeks
    if not weeks:
        return None
    columns, at = _columns(weeks)
    bands = _bands(schedule, at)
    top = _HEAD + _BAND * len(bands)
    fillings = fillings_of(schedule)
    rows = tuple(
        _dome_row(each.dome, [filling for filling in fillings if filling.dome == place], at, top + _ROW * row + _ARCH + 8.0)
        for row, (place, each) in enumerate(list(enumerate(weeks[0].domes))[domes])
    )
    foot = top + _ROW * len(rows) + _HOURS - 18.0
    width = columns[-1].x + columns[-1].width + _EDGE
    return WeeksPicture(round(width, 1), foot + 22.0, columns, bands, rows, _hours(weeks, at, foot), foot)


def _columns(weeks: Sequence[ScheduleWeek]) -> tuple[tuple[Column, ...], list[tuple[float, float]]]:
    """The columns, and where each week stands among them: its left side and its width."""
    found, places, x = [], [], _EDGE
    for quiet, run in groupby(weeks, key=is_quiet):
        stretch = list(run)
        if quiet and len(stretch) >= _LEAST_QUIET:
            words = say("{weeks} with nothing in a dome, from {day}", weeks=plural(len(stretch), "week"), day=short_day(stretch[0].monday))
            found.append(Column(x, _QUIET, words, "…", len(stretch), True))
            places += [(x, _QUIET)] * len(stretch)
            x += _QUIET
            continue
        for week in stretch:
            words = say("week of {day}", day=short_day(week.monday))
            found.append(Column(x, WEEK, words, date_soon(week.monday), week.number, False))
            places.append((x, WEEK))
            x += WEEK
    return tuple(found), places


def _dome_row(name: str, fillings: Sequence[Filling], at: Sequence[tuple[float, float]], foot: float) -> DomeRow:
    return DomeRow(in_two(name), name, foot, tuple(_arch(each, foot, at[each.first : each.first + len(each.run)]) for each in fillings))


def _arch(filling: Filling, foot: float, at: Sequence[tuple[float, float]]) -> Arch:
    left, width = round(at[0][0] + 1.5, 1), round(sum(at[-1]) - at[0][0] - 3.0, 1)
    bend, side = min(_ROUND, width / 2), foot - _ARCH + _ROUND
    path = (
        f"M{left:g} {foot:g}V{side:g}Q{left:g} {foot - _ARCH:g} {left + bend:g} {foot - _ARCH:g}"
        f"H{left + width - bend:g}Q{left + width:g} {foot - _ARCH:g} {left + width:g} {side:g}V{foot:g}Z"
    )
    room = int((width - 14.0) / _LETTER)
    ages = tuple(Age(round(x + wide / 2, 1), each.age_weeks + 1) for (x, wide), each in zip(at, filling.run, strict=True))
    return Arch(
        kind=filling.stands.kind, path=path, foot=foot, left=left, width=width, level=round(filling.share * _FULL, 1),
        label=_short(filling.label, room), count=_short(filling.count, room + 1), words=filling.words, mixed=filling.mixed,
        ages=() if filling.stands.kind == "away" else ages,
    )  # fmt: skip


def _bands(schedule: Schedule, at: Sequence[tuple[float, float]]) -> tuple[Band, ...]:
    """A band for each method that the plan uses, over the weeks in which it is open."""
    used = list(dict.fromkeys(row.method for row in schedule.rows))
    return tuple(Band(in_two(name), name, _HEAD + _BAND * place + 11.0, _lines(schedule, name, at)) for place, name in enumerate(used))


def _lines(schedule: Schedule, method: str, at: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    found, place = [], 0
    for is_open, run in groupby(schedule.weeks, key=lambda week: method in week.windows):
        length = len(list(run))
        if is_open:
            left, right = at[place][0] + 2.0, sum(at[place + length - 1]) - 2.0
            found.append((round(left, 1), round(right - left, 1)))
        place += length
    return tuple(found)


def _hours(weeks: Sequence[ScheduleWeek], at: Sequence[tuple[float, float]], foot: float) -> tuple[HoursBar, ...]:
    most = max((max(week.hours_used, week.hours_there or 0.0) for week in weeks), default=0.0) or 1.0
    scale = (_HOURS - 28.0) / most
    found = []
    for week, (x, width) in zip(weeks, at, strict=True):
        if width < WEEK:
            continue
        there, used = week.hours_there, week.hours_used
        high = None if there is None else round(there * scale, 1)
        found.append(
            HoursBar(
                x=round(x + 8.0, 1), width=width - 16.0, used_y=round(foot - used * scale, 1), used=round(used * scale, 1),
                there_y=round(foot - (high or 0.0), 1), there=high, said=hours_said(used) if used else "", words=hours_words(week),
                over=there is not None and used > there + 1e-6,
            )
        )  # fmt: skip
    return tuple(found)


def hours_said(hours: float) -> str:
    """2.5, and 2 for 2.0."""
    return f"{hours:.1f}".removesuffix(".0")


def hours_words(week: ScheduleWeek) -> str:
    """1.5 of 2 hours at the bench."""
    if week.hours_there is None:
        return say("{used} hours at the bench", used=hours_said(week.hours_used))
    return say("{used} of {there} hours at the bench", used=hours_said(week.hours_used), there=hours_said(week.hours_there))


def in_two(name: str) -> tuple[str, ...]:
    """A name on at most two lines of the column of names."""
    room = int((NAMES - 8.0) / 6.2)
    if len(name) <= room:
        return (name,)
    cut = name.rfind(" ", 0, room + 1)
    cut = cut if cut > 0 else room
    return name[:cut], _short(name[cut:].strip(), room)


def _short(text: str, room: int) -> str:
    return text if len(text) <= room else f"{text[: max(room - 1, 0)].rstrip(' ,')}…" if room > 2 else ""
