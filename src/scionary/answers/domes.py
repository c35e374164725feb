"""A dome as it stands: the tray from above, each pot with its ring, how many are likely alive, the dates to come."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from uuid import UUID

import numpy as np
import numpy.typing as npt

from scionary.answers.after_care import CareStep, dome_steps
from scionary.answers.chances import Ring, alive_words, likely_alive, rings
from scionary.answers.domes_held import HELD
from scionary.answers.early_signs import one_reading, reads_near
from scionary.answers.remembered import remembered
from scionary.answers.usual_method import season_method
from scionary.answers.words import listed, plural
from scionary.book import queries
from scionary.book.models import Dome, DomeState, Graft, Method, Nursery, Plant, PotKind
from scionary.errors import UnknownSubject
from scionary.language import mark, say, several
from scionary.plan import Layout, RoundPot, SquarePot, pots_on_tray
from scionary.units import in_unit

_MIXED_AGES_DAYS = 7  # grafts of one dome further apart than this cannot be opened on one day; project default, unsourced


@dataclass(frozen=True)
class Pot:
    """One place on the tray, seen from above; the centre in mm from the near left corner. `plant` is None where nothing stands.

    A plant for which the tray has no place has a centre of -1 and the place that was written down for it, 0 for none.
    """

    place: int
    x_mm: float
    y_mm: float
    plant: Plant | None = None
    ring: Ring | None = None


@dataclass(frozen=True)
class DomeAnswer:
    """What a page, a card or the terminal needs to know of one dome."""

    dome: Dome
    state: DomeState | None
    pots: list[Pot]
    pot_size_mm: float
    round_pots: bool
    holds: int
    grafted: date | None
    day: int | None
    closed_days: int | None
    method: Method | None
    steps: list[CareStep] = field(default_factory=list)
    alive: tuple[int, int, int] = (0, 0, 0)
    standing: int = 0
    words: str = ""
    flags: list[str] = field(default_factory=list)

    @property
    def title(self) -> str:
        """Dome 2, day 19 of about 31."""
        if self.day is None:
            return say("{name} · empty", name=self.dome.name) if not self.standing else self.dome.name
        name = self.dome.name
        if self.day < 0:
            return say("{name} · grafted {days} later", name=name, days=plural(-self.day, "day"))
        if not self.closed_days:
            return say("{name} · day {day}", name=name, day=self.day)
        if self.day > self.closed_days:
            return say("{name} · day {day}, opening by degrees", name=name, day=self.day)
        return say("{name} · day {day} of about {closed_days}", name=name, day=self.day, closed_days=self.closed_days)

    def dates(self, today: date) -> list[CareStep]:
        """Steps that lie ahead."""
        return [step for step in self.steps if step.when >= today]

    def to_dict(self) -> dict[str, object]:
        return {
            "dome": self.dome.name,
            "day": self.day,
            "closed_days": self.closed_days,
            "standing": self.standing,
            "holds": self.holds,
            "alive": {"low": self.alive[0], "mid": self.alive[1], "high": self.alive[2]},
            "words": self.words,
            "flags": self.flags,
            "steps": [{"step": s.step, "when": s.when.isoformat(), "say": s.say, "why": s.why, "done": s.done} for s in self.steps],
        }


def dome_answer(ident: UUID, *, today: date) -> DomeAnswer:
    """One dome, as it stands today."""
    dome = Dome.objects.select_related("pot_kind").filter(pk=ident).first()
    if dome is None:
        raise UnknownSubject(say("the book holds no such dome."), where="dome", remedy=say("Choose one that is listed under Domes."))

    def find(dome: Dome) -> DomeAnswer:
        return _answer(dome, queries.dome_states([dome.pk]).get(dome.pk), queries.nursery(), today)

    with one_reading():
        if reads_near():
            return next(replace(each, day=_day(each.grafted, today)) for each in HELD.answers([dome], find))
        return find(dome)


def standing_in(dome: Dome, *, today: date) -> tuple[list[Plant], dict[UUID, Ring]]:
    """All plants that stand in a dome, as `queries.plants_in` lists them, and the ring of each: to look at, not to write by."""
    if not reads_near():
        plants = list(queries.plants_in(dome))
        return plants, rings(plants)
    pots = [(pot.plant, pot.ring) for pot in dome_answer(dome.pk, today=today).pots if pot.plant and pot.ring]
    pots.sort(key=lambda pot: (pot[0].place is None, pot[0].place, pot[0].pk))
    return [plant for plant, _ in pots], {plant.pk: ring for plant, ring in pots}


def dome_answers(*, today: date, all_domes: bool = False) -> list[DomeAnswer]:
    """All domes in use, or all domes."""
    found = list((Dome.objects.filter(retired=False) if all_domes else queries.domes_in_use()).select_related("pot_kind"))
    states, nursery = queries.dome_states([d.pk for d in found]), queries.nursery()

    def find(dome: Dome) -> DomeAnswer:
        return _answer(dome, states.get(dome.pk), nursery, today)

    with one_reading():
        if reads_near():
            return [replace(each, day=_day(each.grafted, today)) for each in HELD.answers(found, find)]
        return [find(dome) for dome in found]


def _day(grafted: date | None, today: date) -> int | None:
    return (today - grafted).days if grafted else None


def tray_layout(length_mm: float, width_mm: float, shape: str, across_mm: float) -> Layout:
    """Where pots stand on a tray; remembered, since the search for one more round pot takes a moment."""
    pot = SquarePot(across_mm) if shape == PotKind.Shape.SQUARE else RoundPot(across_mm)
    arguments = {"length": length_mm, "width": width_mm, "shape": shape, "across": across_mm}
    return remembered("pots_on_tray", 2, arguments, lambda: pots_on_tray(length_mm, width_mm, pot))


def usual_pot(dome: Dome, plants: list[Plant]) -> PotKind | None:
    """The pot that stands in the dome: as set for it, else the commonest among its plants, else the smallest known."""
    if dome.pot_kind:
        return dome.pot_kind
    kinds = [p.pot_kind for p in plants if p.pot_kind]
    return max(kinds, key=kinds.count) if kinds else PotKind.objects.filter(retired=False).order_by("across_mm").first()


def no_room_words(name: str, coming: int) -> str:
    """What a dome holds, where so many more plants would be too many; empty when they fit. A new name is a dome of the usual size."""
    dome = Dome.objects.filter(name__iexact=name).select_related("pot_kind").first() or Dome(name=name)
    plants = [] if dome._state.adding else list(queries.plants_in(dome))
    across, shape = pot_size(dome, plants)
    holds = len(tray_layout(dome.length_mm, dome.width_mm, shape, across).positions)
    over = len(plants) + coming - holds
    if over <= 0:
        return ""
    there = several(len(plants), ", {count} stands there already", ", {count} stand there already") if plants else ""
    none = say("{over} would have no place on its tray", over=over) if over < coming else say("they would have no place on its tray")
    measured = mark("{dome} holds {pots} of this size{there}: {none}.")
    usual = mark("{dome}, with the size of the usual tray until you measure it, holds {pots} of this size{there}: {none}.")
    return say(usual if dome.is_usual else measured, dome=dome.name, pots=plural(holds, "pot"), there=there, none=none)


def pot_size(dome: Dome, plants: list[Plant]) -> tuple[float, str]:
    """How far across the usual pot of a dome is, in mm, and its shape."""
    pot = usual_pot(dome, plants)
    return (pot.across_mm, pot.shape) if pot else (100.0, str(PotKind.Shape.SQUARE))


def _answer(dome: Dome, state: DomeState | None, nursery: Nursery, today: date) -> DomeAnswer:
    plants = list(queries.plants_in(dome))
    across, shape = pot_size(dome, plants)
    layout = tray_layout(dome.length_mm, dome.width_mm, shape, across)
    standing = [p for p in plants if p.state in queries.STANDING]
    newest = [g for g in (_last_graft(p) for p in standing) if g is not None]
    days = sorted(g.grafted_at.astimezone(nursery.zone).date() for g in newest)
    written = next((g.method for g in newest if g.method), None)
    method = written or (season_method(days[0], nursery) if days else None)
    flags = _flags(dome, plants, len(layout.positions), days)
    if method and written is None:
        flags.append(
            say("No method was written down: the dates are those of {method}, without what only some growers do.", method=method.name)
        )
    checked, alive = _checked(standing, nursery), likely_alive(plants)
    steps = dome_steps(method, days[0], state, nursery.zone, checked=checked, common_only=written is None) if days and method else []
    return DomeAnswer(
        dome=dome,
        state=state,
        pots=_pots(layout, plants),
        pot_size_mm=across,
        round_pots=shape == PotKind.Shape.ROUND,
        holds=len(layout.positions),
        grafted=days[0] if days else None,
        day=_day(days[0] if days else None, today),
        closed_days=method.closed_days if method else None,
        method=method,
        steps=[replace(step, say=in_unit(step.say, nursery.length_unit), why=in_unit(step.why, nursery.length_unit)) for step in steps],
        alive=alive,
        standing=len(plants),
        words=alive_words(plants, alive) if plants else "",
        flags=flags,
    )


def _checked(plants: list[Plant], nursery: Nursery) -> date | None:
    """The day since which all of these were scored firm, not firm or not sure; None when one was not."""
    days = []
    for plant in plants:
        graft = _last_graft(plant)
        moments = [graft.firm_at] if graft and graft.firm_at else []
        if plant.last_sign == "firm_unsure" and plant.seen_at:
            moments.append(plant.seen_at)
        if not moments:
            return None
        days.append(max(moments).astimezone(nursery.zone).date())
    return min(days, default=None)


def _last_graft(plant: Plant) -> Graft | None:
    grafts = list(plant.grafts.all())
    return grafts[-1] if grafts else None


def _pots(layout: Layout, plants: list[Plant]) -> list[Pot]:
    """Plants at their places; those without one fill the free places; those for which the tray has no place are listed last."""
    shown = rings(plants)
    by_place: dict[int, Plant] = {}
    loose: list[Plant] = []
    outside: list[Plant] = []
    for plant in plants:
        if not plant.place:
            loose.append(plant)
        elif plant.place > len(layout.positions) or plant.place in by_place:
            outside.append(plant)
        else:
            by_place[plant.place] = plant
    pots = []
    for place, (x, y) in enumerate(centred(layout), start=1):
        here = by_place.get(place) or (loose.pop(0) if loose else None)
        pots.append(Pot(place, float(x), float(y), here, shown[here.id] if here else None))
    beyond = [Pot(plant.place or 0, -1.0, -1.0, plant, shown[plant.id]) for plant in [*outside, *loose]]
    return pots + beyond


def centred(layout: Layout) -> npt.NDArray[np.float64]:
    """The places moved so that the free strip lies on all sides, as a person would set the pots."""
    if not len(layout.positions):
        return layout.positions
    room = np.array([layout.length_mm, layout.width_mm])
    free = room - layout.positions.max(axis=0) - layout.positions.min(axis=0)
    moved: npt.NDArray[np.float64] = layout.positions + free / 2
    return moved


def _flags(dome: Dome, plants: list[Plant], holds: int, days: list[date]) -> list[str]:
    flags = []
    if len(plants) > holds:
        measured = mark("{pots} are recorded here and the tray holds {holds} of this size: move some, or set the dome's size.")
        usual = mark("{pots} are recorded here and the usual tray, taken until you measure this dome, holds {holds} of this size.")
        flags.append(say(usual if dome.is_usual else measured, pots=plural(len(plants), "pot"), holds=holds))
    if days and (days[-1] - days[0]).days > _MIXED_AGES_DAYS:
        flags.append(
            say("Grafts here are {days} days apart in age: the youngest decides when it may be opened.", days=(days[-1] - days[0]).days)
        )
    if any(p.disputed for p in plants):
        flags.append(say("Some records here disagree; look at the plants marked with a question mark."))
    return flags + _flags_of_plants(plants)


def _flags_of_plants(plants: list[Plant]) -> list[str]:
    """What is flagged of single plants here, each flag once with all whom it concerns."""
    whose: dict[str, list[str]] = {}
    for plant in plants:
        for flag in dict.fromkeys([*plant.cautions, *plant.flags]):
            whose.setdefault(say(flag), []).append(plant.spoken)
    return [f"{listed(names)}: {flag}." for flag, names in sorted(whose.items())]
