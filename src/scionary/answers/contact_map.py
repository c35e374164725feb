"""The map of contacts: which plants of the book shared wood, stock, blade, cover, treatment or bench day, and when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from enum import Enum
from math import inf
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from scionary.answers.blade_sessions import Cut, blade_sessions
from scionary.answers.days_known import DAY_S, no_time, whole_day
from scionary.answers.dome_fillings import SetIn, fillings
from scionary.answers.events_in_bulk import Happened, ident_text, moment_text, seconds, standing_events
from scionary.answers.held import held
from scionary.book import queries
from scionary.book.models import Graft, MotherTree, ScionBag
from scionary.names import Contacts

_SPAN_S = {"month": 31 * DAY_S, "year": 366 * DAY_S}  # so far off can a graft be whose day is not known


class Way(Enum):
    """How something passes."""

    WOOD = "wood"
    STOCK = "stock"
    BLADE = "blade"
    COVER = "cover"
    TREATED = "treated"
    BENCH = "bench"


@dataclass(frozen=True, eq=False)
class ContactMap:
    """Things by their keys (``plant:…``, ``tree:…``, ``blade:…``) and the contacts between them, each with its way."""

    keys: Sequence[str]
    number: dict[str, int]
    contacts: Contacts
    way: npt.NDArray[np.int8]

    def way_of(self, contact: int) -> Way:
        return list(Way)[self.way[contact]]


@dataclass
class _Drawing:
    """A map in the making."""

    number: dict[str, int] = field(default_factory=dict)
    rows: list[tuple[int, int, float, float, int]] = field(default_factory=list)

    def of(self, key: str) -> int:
        return self.number.setdefault(key, len(self.number))

    def link(self, source: str, target: str, way: Way, opens: float = -inf, closes: float = inf) -> None:
        self.rows.append((self.of(source), self.of(target), opens, closes, _PLACE[way]))

    def both(self, plant: str, thing: str, way: Way, opens: float = -inf, closes: float = inf) -> None:
        self.link(plant, thing, way, opens, closes)
        self.link(thing, plant, way, opens, closes)

    def done(self) -> ContactMap:
        columns = list(zip(*self.rows, strict=True)) or [()] * 5
        contacts = Contacts(len(self.number), columns[0], columns[1], columns[2], columns[3])  # type: ignore[arg-type]
        return ContactMap(list(self.number), self.number, contacts, np.array(columns[4], dtype=np.int8))


_PLACE = {way: place for place, way in enumerate(Way)}


@dataclass(frozen=True)
class _Made:
    """A graft as far as contacts go."""

    plant: str
    at: float
    tree: str
    bag: str
    lot: str
    dome: str
    bench: str
    hand: str
    precision: str
    opens: float  # when it was made at the earliest
    closes: float  # and at the latest


def contact_map(ways: Collection[Way], zone: ZoneInfo, *, only_standing: bool) -> ContactMap:
    """The contacts of the whole book by these ways, held until something is written.

    With `only_standing` a plant has the wood of its last graft only, as its name does; else also that of grafts which failed before.
    """
    asked = [way for way in Way if way in ways]
    name = f"contacts {' '.join(way.value for way in asked)} {only_standing}"
    return held(name, (queries.stamp(), zone.key), lambda: _drawn(asked, zone, only_standing=only_standing))


def nowhere(key: str) -> ContactMap:
    """The map of a thing that met nothing."""
    none, never = np.zeros(0, dtype=np.int64), np.zeros(0)
    return ContactMap([key], {key: 0}, Contacts(1, none, none, never, never), np.zeros(0, dtype=np.int8))


def _drawn(ways: Collection[Way], zone: ZoneInfo, *, only_standing: bool) -> ContactMap:
    drawing = _Drawing()
    made = _grafts(zone, only_standing=only_standing)
    if Way.WOOD in ways:
        _wood(drawing, made, zone)
    if Way.STOCK in ways:
        for graft in made:
            if graft.lot:
                drawing.link(f"lot:{graft.lot}", f"plant:{graft.plant}", Way.STOCK, graft.opens, graft.closes)
    if Way.BLADE in ways:
        _blades(drawing, made, zone)
    if Way.COVER in ways:
        for filling in fillings((SetIn(graft.plant, graft.dome, graft.at, graft.opens) for graft in made), zone):
            for stay in filling.stays:
                drawing.both(f"plant:{stay.plant}", filling.key, Way.COVER, stay.begins, stay.ends)
    if Way.TREATED in ways:
        _treatments(drawing)
    if Way.BENCH in ways:
        for graft in made:
            if graft.bench:
                drawing.both(f"plant:{graft.plant}", f"bench:{graft.bench}", Way.BENCH)
    return drawing.done()


def _grafts(zone: ZoneInfo, *, only_standing: bool) -> list[_Made]:
    rows = Graft.objects.filter(replaced=False) if only_standing else Graft.objects.all()
    nouns = [ident_text(f"{noun}_id") for noun in ("plant", "tree", "bag", "lot", "dome", "bench")]
    found = list(rows.order_by().values_list(moment_text("grafted_at"), *nouns, "grafter", "precision"))
    at = seconds(row[0] for row in found)
    return [
        _Made(plant, when, tree or "", bag or "", lot or "", dome or "", bench or "", hand, precision, *_span(when, precision, zone))
        for when, (_, plant, tree, bag, lot, dome, bench, hand, precision) in zip(at.tolist(), found, strict=True)
    ]


def _span(at: float, precision: str, zone: ZoneInfo) -> tuple[float, float]:
    """Between which moments a graft was made: a month or year around, the whole day where its time is not known."""
    if precision in _SPAN_S:
        return at - _SPAN_S[precision], at + _SPAN_S[precision]
    return whole_day(at, zone) if no_time(at, zone) else (at, at)


def _wood(drawing: _Drawing, made: Iterable[_Made], zone: ZoneInfo) -> None:
    """From tree to bag to plant, and from a plant to the tree that it grew into."""
    cut_from = {bag.pk.hex: (bag.tree_id.hex if bag.tree_id else "", bag) for bag in ScionBag.objects.all()}
    first: dict[str, float] = {}
    for graft in made:
        if graft.bag:
            first[graft.bag] = min(first.get(graft.bag, inf), graft.closes)
    cut = {ident: _cut(bag, first.get(ident, inf), zone) for ident, (_, bag) in cut_from.items()}
    for graft in made:
        if graft.bag:  # whatever the clocks say, a bag's wood is in its grafts
            latest = max(graft.closes, cut.get(graft.bag, (0.0, graft.closes))[1])
            drawing.link(f"bag:{graft.bag}", f"plant:{graft.plant}", Way.WOOD, graft.opens, latest)
        if graft.tree and cut_from.get(graft.bag, ("", None))[0] != graft.tree:
            drawing.link(f"tree:{graft.tree}", f"plant:{graft.plant}", Way.WOOD, graft.opens, graft.closes)
    for ident, (tree, _) in cut_from.items():
        if tree:
            drawing.link(f"tree:{tree}", f"bag:{ident}", Way.WOOD, *cut[ident])
    for raised, plant in MotherTree.objects.filter(raised_from__isnull=False).values_list("pk", "raised_from_id"):
        drawing.link(f"plant:{plant.hex}", f"tree:{raised.hex}", Way.WOOD)


def _cut(bag: ScionBag, first_use: float, zone: ZoneInfo) -> tuple[float, float]:
    """When a bag was cut: its moment, its day, or some time before it was first used."""
    if bag.cut_at:
        return bag.cut_at.timestamp(), bag.cut_at.timestamp()
    if bag.cut_on:
        begin = datetime.combine(bag.cut_on, time(0), zone)
        return begin.timestamp(), (begin + timedelta(days=1)).timestamp() - 1
    return -inf, first_use


def _blades(drawing: _Drawing, made: Iterable[_Made], zone: ZoneInfo) -> None:
    """Plants that one blade cut, one after the other."""
    cuts = (Cut(graft.plant, graft.at, graft.hand) for graft in made if graft.precision == "day")
    for session in blade_sessions(cuts, zone):
        for cut in session.cuts:
            span = (cut.at, cut.at) if session.timed else (session.begins, session.ends)
            drawing.both(f"plant:{cut.plant}", session.key, Way.BLADE, *span)


def _treatments(drawing: _Drawing) -> None:
    """Plants that were treated in one step: one record about several, or several of one moment with one product."""
    together: dict[tuple[float, str], list[Happened]] = defaultdict(list)
    for event in standing_events(("treated",), "plant"):
        together[event.at, str(event.payload.get("product", ""))].append(event)
    for (at, _), events in together.items():
        keys = {key for event in events for key in event.subjects}
        for key in sorted(keys) if len(keys) > 1 else ():
            drawing.both(key, f"treatment:{min(event.event for event in events)}", Way.TREATED, at, at)
