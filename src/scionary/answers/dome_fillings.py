"""Who stood under one cover at one time: fillings of domes, each from the first pot set in until the dome stood empty."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import inf, isfinite
from uuid import UUID
from zoneinfo import ZoneInfo

from scionary.answers.days_known import no_time, whole_day
from scionary.answers.events_in_bulk import ident_text, moment_text, seconds, standing_events
from scionary.answers.words import short_day
from scionary.book.models import Plant
from scionary.language import say

_LAST_SECOND = 32_503_680_000  # of the year 2999
_LEAVING = ("moved", "left", "wintered_in", "wintered_out")
_ELSEWHERE_ONLY = frozenset({"wintered_in", "wintered_out"})  # these move a plant only where they say where to


@dataclass(frozen=True)
class SetIn:
    """A graft set into a dome (empty: none): when as it was written down, and when at the earliest."""

    plant: str
    dome: str
    at: float
    earliest: float


@dataclass(frozen=True)
class Stay:
    """A plant under a cover, from when at the earliest to when at the latest, in seconds since 1970; to infinity while it stands there.

    `told` is the beginning as it was written down.
    """

    plant: str
    dome: str
    begins: float
    ends: float
    told: float


@dataclass(frozen=True)
class Filling:
    """Stays in one dome that touch one another."""

    dome: str
    stays: tuple[Stay, ...]

    @property
    def key(self) -> str:
        return f"cover:{self.dome}:{int(min(stay.told for stay in self.stays))}"


def fillings(set_in: Iterable[SetIn], zone: ZoneInfo) -> list[Filling]:
    """Fillings of all domes, by the grafts that were set in and all moves; of a day without a time all of it counts."""
    by_dome: dict[str, list[Stay]] = defaultdict(list)
    for stay in _stays(set_in, zone):
        by_dome[stay.dome].append(stay)
    return [filling for dome, stays in by_dome.items() for filling in _fillings(dome, stays)]


def _fillings(dome: str, stays: list[Stay]) -> list[Filling]:
    found: list[Filling] = []
    here: list[Stay] = []
    until = -inf
    for stay in sorted(stays, key=lambda stay: (stay.begins, stay.plant)):
        if here and stay.begins > until:
            found.append(Filling(dome, tuple(here)))
            here = []
        here.append(stay)
        until = max(until, stay.ends)
    return [*found, Filling(dome, tuple(here))]


def _stays(set_in: Iterable[SetIn], zone: ZoneInfo) -> list[Stay]:
    placed: dict[str, list[SetIn]] = defaultdict(list)
    for graft in set_in:
        if graft.dome:
            placed[graft.plant].append(graft)
    for event in standing_events(_LEAVING, "plant"):
        dome = str(event.payload.get("dome") or "").replace("-", "")
        if event.kind in _ELSEWHERE_ONLY and not (dome or event.payload.get("stands")):
            continue
        for key in event.subjects:
            placed[key[6:]].append(SetIn(key[6:], dome, event.at, _edges(event.at, zone)[0]))
    gone = _gone()
    return [stay for plant, places in placed.items() for stay in _of_plant(plant, places, gone, zone)]


def _of_plant(plant: str, places: list[SetIn], gone: Mapping[str, float], zone: ZoneInfo) -> Iterable[Stay]:
    ordered = sorted(places, key=lambda place: (place.at, place.dome))
    for place, after in zip(ordered, [*ordered[1:], None], strict=True):
        left = after.at if after else gone.get(plant, inf)
        if place.dome:
            yield Stay(plant, place.dome, place.earliest, max(place.at, _edges(left, zone)[1]), place.at)


def _edges(at: float, zone: ZoneInfo) -> tuple[float, float]:
    """When something was at the earliest and at the latest."""
    return whole_day(at, zone) if isfinite(at) and no_time(at, zone) else (at, at)


def _gone() -> dict[str, float]:
    """Since when each lost or sold plant is so: a dead one that nobody wrote down as moved is taken to stand there no longer."""
    rows = Plant.objects.filter(state__in=(Plant.State.DEAD, Plant.State.LEFT), state_since__isnull=False)
    found = list(rows.order_by().values_list(ident_text("pk"), moment_text("state_since")))
    return dict(zip((plant for plant, _ in found), seconds(moment for _, moment in found).tolist(), strict=True))


def is_filling(key: str) -> bool:
    """Whether this is how a filling is named."""
    parts = key.split(":")
    try:
        UUID(parts[1])
        return len(parts) == 3 and abs(int(parts[2])) < _LAST_SECOND
    except (ValueError, IndexError):
        return False


def filling_words(key: str, names: Mapping[UUID, str], zone: ZoneInfo) -> str:
    """A filling's key in words: Long case, filled 3 Mar 2026; `names` are those of domes."""
    _, dome, begins = key.split(":")
    day = datetime.fromtimestamp(int(begins), zone)
    return say("{dome}, filled {day}", dome=names.get(UUID(dome)) or say("a dome"), day=short_day(day))
