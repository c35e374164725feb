"""Who stood under one cover at one time: fillings of domes, each from the first pot set in until the dome stood empty."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import inf
from uuid import UUID
from zoneinfo import ZoneInfo

from scionary.answers.events_in_bulk import ident_text, moment_text, seconds, standing_events
from scionary.book.models import Dome, Plant

_LEAVING = ("moved", "left", "wintered_in", "wintered_out")
_ELSEWHERE_ONLY = frozenset({"wintered_in", "wintered_out"})  # these move a plant only where they say where to


@dataclass(frozen=True)
class Stay:
    """A plant under a cover, from when to when in seconds since 1970; it ends at infinity while it stands there."""

    plant: str
    dome: str
    begins: float
    ends: float


@dataclass(frozen=True)
class Filling:
    """Stays in one dome that touch one another."""

    dome: str
    begins: float
    stays: tuple[Stay, ...]

    @property
    def key(self) -> str:
        return f"cover:{self.dome}:{int(self.begins)}"


def fillings(set_in: Iterable[tuple[str, float, str]]) -> list[Filling]:
    """Fillings of all domes; `set_in` are the grafts: (plant, when, dome or nothing)."""
    by_dome: dict[str, list[Stay]] = defaultdict(list)
    for stay in _stays(set_in):
        by_dome[stay.dome].append(stay)
    return [filling for dome, stays in by_dome.items() for filling in _fillings(dome, stays)]


def _fillings(dome: str, stays: list[Stay]) -> list[Filling]:
    found: list[Filling] = []
    here: list[Stay] = []
    until = -inf
    for stay in sorted(stays, key=lambda stay: (stay.begins, stay.plant)):
        if here and stay.begins > until:
            found.append(Filling(dome, here[0].begins, tuple(here)))
            here = []
        here.append(stay)
        until = max(until, stay.ends)
    return [*found, Filling(dome, here[0].begins, tuple(here))]


def _stays(set_in: Iterable[tuple[str, float, str]]) -> list[Stay]:
    placed: dict[str, list[tuple[float, str]]] = defaultdict(list)
    for plant, at, dome in set_in:
        if dome:
            placed[plant].append((at, dome))
    for event in standing_events(_LEAVING, "plant"):
        dome = str(event.payload.get("dome") or "").replace("-", "")
        if event.kind in _ELSEWHERE_ONLY and not (dome or event.payload.get("stands")):
            continue
        for key in event.subjects:
            placed[key[6:]].append((event.at, dome))
    gone = _gone()
    return [stay for plant, places in placed.items() for stay in _of_plant(plant, sorted(places), gone)]


def _of_plant(plant: str, places: list[tuple[float, str]], gone: Mapping[str, float]) -> Iterable[Stay]:
    for at, (begins, dome) in enumerate(places):
        last = at + 1 == len(places)
        ends = gone.get(plant, inf) if last else places[at + 1][0]
        if dome:
            yield Stay(plant, dome, begins, max(begins, ends))


def _gone() -> dict[str, float]:
    """Since when each lost or sold plant is so: a dead one that nobody wrote down as moved is taken to stand there no longer."""
    rows = Plant.objects.filter(state__in=(Plant.State.DEAD, Plant.State.LEFT), state_since__isnull=False)
    found = list(rows.order_by().values_list(ident_text("pk"), moment_text("state_since")))
    return dict(zip((plant for plant, _ in found), seconds(moment for _, moment in found).tolist(), strict=True))


def filling_words(key: str, zone: ZoneInfo) -> str:
    """A filling's key in words: Long case, filled 3 Mar 2026."""
    _, dome, begins = key.split(":")
    name = Dome.objects.filter(pk=UUID(dome)).values_list("name", flat=True).first() or "a dome"
    day = datetime.fromtimestamp(int(begins), zone)
    return f"{name}, filled {day.day} {day:%b %Y}"
