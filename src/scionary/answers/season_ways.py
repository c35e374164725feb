"""Every way to graft each wish: in which week, by which method, in which pot, on which lot, from which tree."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil

from scionary.answers.season_facts import SeasonFacts, WishFact, genus_of
from scionary.answers.season_windows import Windows, weeks_open
from scionary.book.models import Method, MotherTree, PotKind, RootstockLot
from scionary.language import mark, say
from scionary.union import Verdict, compatibility

MOST_WAYS = 17_000  # beyond that not every lot, tree and week is tried; project default, unsourced
ORDERED = mark("{genus} stocks to order")


@dataclass(frozen=True)
class Lot:
    """Stocks of one lot, or to be ordered (`lot` None); `number` None where they were never counted."""

    name: str
    lot: RootstockLot | None
    number: int | None
    genus: str


@dataclass(frozen=True)
class Way:
    """One way; `lot` and `tree` None where none is known."""

    wish: int
    week: date
    method: Method
    pot: PotKind
    lot: Lot | None
    tree: MotherTree | None
    regraft: bool = False

    @property
    def healing_weeks(self) -> int:
        return max(1, ceil((self.method.closed_days + self.method.hardening_days) / 7))


def ways_of(facts: SeasonFacts, windows: Windows, lots: Sequence[Lot], *, most: int = MOST_WAYS) -> list[Way]:
    """All of them; where they are very many, each wish on two lots and from one tree, and then not in every week."""
    every = [list(_of_wish(facts, windows, lots, at, wish)) for at, wish in enumerate(facts.wishes)]
    found = [way for ways in every for way in ways]
    if len(found) <= most:
        return found
    found = [way for at, ways in enumerate(every) for way in _fewer(ways, at)]
    weeks, step = sorted({way.week for way in found}), -(-len(found) // most)
    firsts = {min(way.week for way in ways) for ways in every if ways}
    return [way for way in found if way.week in set(weeks[::step]) | firsts]


def _fewer(ways: Sequence[Way], at: int) -> list[Way]:
    """The ways of one wish on two of its lots, others for each wish so that all are used, from its first tree, and no second graft."""
    lots = list(dict.fromkeys(way.lot for way in ways))
    kept = {lots[at % len(lots)], lots[(at + 1) % len(lots)]} if lots else set()
    tree = ways[0].tree if ways else None
    return [way for way in ways if way.lot in kept and way.tree == tree and not way.regraft]


def lots_of(facts: SeasonFacts) -> list[Lot]:
    """Lots of the book, and for each genus that is offered, or of which there is no stock, stocks to order.

    Stocks of the book serve a wish of no known genus; for it others are ordered only where somebody offers any.
    """
    found = [Lot(lot.name, lot, facts.left[lot.pk], genus_of(lot.species)) for lot in facts.lots if _left(facts, lot)]
    there = {lot.genus for lot in found}
    offered = {genus_of(offer.kind) for offer in facts.offers}
    wanted = dict.fromkeys(wish.genus for wish in facts.wishes)
    for genus in wanted:
        missing = bool(genus) and genus not in there and "" not in there and bool(found)
        if missing or (genus in offered if genus else bool(offered)):
            found.append(Lot(say(ORDERED, genus=genus) if genus else say("stocks of any kind to order"), None, None, genus))
    return found


def methods_of(facts: SeasonFacts, wish: WishFact) -> list[Method]:
    """The method that the wish names; else of each kind, in leaf and dormant, the one that most grafts of this book were made by."""
    named = [method for method in facts.methods if method.pk == wish.method]
    if named:
        return named
    made = Counter(graft.method for graft in facts.made)
    by_kind: dict[bool, Method] = {}
    for method in facts.methods:
        best = by_kind.get(method.leafy)
        if best is None or made[method.pk] > made[best.pk]:
            by_kind[method.leafy] = method
    return list(by_kind.values()) or [Method(name=say("graft"))]


def _left(facts: SeasonFacts, lot: RootstockLot) -> bool:
    left = facts.left[lot.pk]
    return left is None or left > 0 or any(graft.lot == lot.pk for graft in facts.made)


def _of_wish(facts: SeasonFacts, windows: Windows, lots: Sequence[Lot], at: int, wish: WishFact) -> Iterator[Way]:
    trees: list[MotherTree | None] = [tree for tree in facts.trees if tree.cultivar_id == wish.cultivar]
    fitting: list[Lot | None] = [lot for lot in lots if carries(lot, wish)]
    again = {graft.lot for graft in facts.made if graft.alive is False and not graft.replaced}
    methods = [(method, weeks_open(facts, windows.of(method))) for method in methods_of(facts, wish)]
    first = min((weeks[0] for _, weeks in methods if weeks), default=facts.first_monday)
    for method, weeks in methods:
        next_window = bool(weeks) and weeks[0] > first
        for lot in fitting or ([None] if not lots else []):
            for pot in _pots(facts, wish, lot):
                for tree in trees or [None]:
                    for week in weeks:
                        yield Way(at, week, method, pot, lot, tree)
                        if lot is not None and lot.lot is not None and (next_window or lot.lot.pk in again) and lot.number is not None:
                            yield Way(at, week, method, pot, lot, tree, regraft=True)


def carries(lot: Lot, wish: WishFact) -> bool:
    """Whether stocks of a lot serve a wish: the same genus, where both are known, and nothing told against it."""
    if lot.genus and wish.genus and lot.genus != wish.genus:
        return False
    species = lot.lot.species.split(",")[0] if lot.lot else ""
    return not (species and wish.botanical) or compatibility(species, wish.botanical).verdict is not Verdict.FAILS


def _pots(facts: SeasonFacts, wish: WishFact, lot: Lot | None) -> list[PotKind]:
    """The pot that the wish names, else that the stock stands in, else every kind."""
    named = [pot for pot in facts.pots if pot.pk == wish.pot]
    if named:
        return named
    stands = lot.lot.pot_kind if lot and lot.lot else None
    if stands is not None:
        return [stands]
    return list(facts.pots) or [PotKind(name=say("a pot of 100 mm"), shape=PotKind.Shape.SQUARE, across_mm=100.0)]
