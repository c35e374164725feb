"""The yard: how many sticks each mother tree may give today, what the plan wants of its cultivar, and what lies in bags."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from math import ceil
from typing import Any
from uuid import UUID

from scionary.answers.bag_keeping import NOTHING_KNOWN, Keeping, keeping_of
from scionary.answers.bags import cut_ago
from scionary.answers.bench import made_in, planned_grafts
from scionary.answers.cuttings import bags_held, cutting_undone, sticks_of_trees
from scionary.answers.growing_year import year_at, year_words
from scionary.answers.set_apart import bench_words, set_apart
from scionary.answers.usual_method import method_for
from scionary.answers.words import listed, plural
from scionary.book.models import BenchDay, Cultivar, Graft, Method, MotherTree, Nursery, ScionBag, Wish
from scionary.errors import UnknownSubject
from scionary.language import mark, say
from scionary.names import code_of, grouped

NO_LIMIT = mark("The book knows no sourced limit of how long cut wood keeps, only what is usual. Cold, dampness and shade decide.")
_USUAL_PER_STICK = 2.0  # grafts from a stick where no method says it; project default, unsourced


@dataclass(frozen=True)
class Wanted:
    """What the plan of this growing year still wants of a cultivar, in grafts and in sticks; `words` says it."""

    words: str
    sticks: int = 0
    asked: bool = False  # whether plan or wishes ask for it at all


@dataclass(frozen=True)
class TreeLine:
    """A mother tree in the yard."""

    tree: MotherTree
    cut: int
    wanted: Wanted
    cautions: Sequence[str] = ()

    @property
    def left(self) -> int | None:
        return None if self.tree.sticks_a_season is None else self.tree.sticks_a_season - self.cut

    @property
    def words(self) -> str:
        """28 sticks may be cut: it gives 40 a season, 12 cut."""
        gives = self.tree.sticks_a_season
        if gives is None or self.left is None:
            return say("How many it can give is not written down; {number} cut this season.", number=self.cut or say("none"))
        told = say("it gives {gives} a season, {number} cut", gives=gives, number=self.cut or say("none"))
        if self.left > 0:
            return say("{sticks} may be cut: {told}.", sticks=plural(self.left, "stick"), told=told)
        return (
            say("No stick is left this season: {told}.", told=told)
            if self.left == 0
            else say("{sticks} too many are cut: {told}.", sticks=plural(-self.left, "stick"), told=told)
        )

    def to_dict(self) -> dict[str, Any]:
        plain = {"tree": self.tree.name, "cultivar": self.tree.cultivar.spoken, "gives": self.tree.sticks_a_season, "cut": self.cut}
        return plain | {
            "left": self.left,
            "wanted_sticks": self.wanted.sticks,
            "wanted": self.wanted.words,
            "cautions": list(self.cautions),
        }


@dataclass(frozen=True)
class BagLine:
    """A bag of scions with the clock of its freshness; `left` is reckoned from the grafts made out of it."""

    bag: ScionBag
    sticks: int | None
    grafts: int
    left: int | None
    age: str
    cautions: Sequence[str] = ()
    keeping: Keeping = NOTHING_KNOWN

    @property
    def code(self) -> str:
        return grouped(code_of(self.bag.code_number)) if self.bag.code_number is not None else ""

    @property
    def words(self) -> str:
        """12 sticks, cut 3 hours ago; about 10 left after 6 grafts."""
        held = plural(self.sticks, "stick", "sticks") if self.sticks is not None else say("sticks not counted")
        if not self.grafts:
            return f"{held}, {self.age}"
        made = plural(self.grafts, "graft", "grafts")
        return (
            say(
                "{held}, {age}; {left} after {made}",
                held=held,
                age=self.age,
                left=say("about {left} left", left=self.left) if self.left else say("likely used up"),
                made=made,
            )
            if self.left is not None
            else (say("{held}, {age}; {made} made from it", held=held, age=self.age, made=made))
        )

    def to_dict(self) -> dict[str, Any]:
        plain: dict[str, Any] = {"bag": self.bag.name, "code": self.code, "cultivar": self.bag.cultivar.spoken}
        plain |= {"tree": self.bag.tree.name if self.bag.tree else ""}
        plain |= {"cut_at": self.bag.cut_at, "cut_on": self.bag.cut_on, "care": self.bag.care, "stands": self.bag.stands}
        return (
            plain
            | {"sticks": self.sticks, "grafts": self.grafts, "left": self.left, "cautions": list(self.cautions)}
            | {"keeping": [words for words, _ in self.keeping.lines]}
        )


@dataclass(frozen=True)
class Yard:
    """All mother trees in use and all bags that may hold wood."""

    year_words: str
    trees: Sequence[TreeLine]
    bags: Sequence[BagLine]
    assumed: Sequence[str] = field(default_factory=tuple)

    @property
    def asked_for(self) -> list[TreeLine]:
        return [line for line in self.trees if line.wanted.asked]

    @property
    def others(self) -> list[TreeLine]:
        return [line for line in self.trees if not line.wanted.asked]

    def to_dict(self) -> dict[str, Any]:
        lines = {"trees": [line.to_dict() for line in self.trees], "bags": [line.to_dict() for line in self.bags]}
        return {"year": self.year_words, **lines, "assumed": list(self.assumed)}


def yard(nursery: Nursery, *, now: datetime) -> Yard:
    """The yard as it stands today: trees that the plan wants wood of come first."""
    today = now.astimezone(nursery.zone).date()
    bags = bag_lines(nursery, now=now)
    trees = sorted(
        _tree_lines(nursery, today, bags),
        key=lambda line: (not line.wanted.sticks, not line.wanted.asked, line.tree.cultivar.spoken, line.tree.name),
    )
    per_stick, method = _grafts_a_stick(today, nursery)
    assumed = (
        say(
            "{per_stick:g} grafts from a stick, {source}.",
            per_stick=per_stick,
            source=say("as {method} says", method=method) if method else say("project default, unsourced"),
        ),
        say("A tree rests between growing years: what it gives in a season is your own number."),
        say(NO_LIMIT),
    )
    return Yard(year_words(year_at(today, nursery), nursery), trees, bags, assumed)


def tree_line(ident: UUID, nursery: Nursery, *, now: datetime) -> TreeLine:
    """One mother tree, with all that must be known before a blade is set to it."""
    tree = MotherTree.objects.select_related("cultivar").filter(pk=ident).first()
    if tree is None:
        raise UnknownSubject(
            say("the book holds no such mother tree."), where=say("mother tree"), remedy=say("Choose one that is listed in the yard.")
        )
    today = now.astimezone(nursery.zone).date()
    wanted = _wanted([tree.cultivar], bag_lines(nursery, now=now), nursery, today)[tree.cultivar_id]
    gone = [say("{tree} is no longer in use.", tree=tree)] if tree.retired else []
    return TreeLine(tree, sticks_of_trees(nursery, today=today)[tree.key], wanted, [*gone, *bench_words(BenchDay(tree=tree), nursery)])


def tree_named(name: str) -> MotherTree:
    """The mother tree of this name, or the only one whose name or cultivar begins with it."""
    typed, rows = " ".join(name.split()), MotherTree.objects.select_related("cultivar")
    exact = rows.filter(name__iexact=typed).first()
    near = list(rows.filter(name__istartswith=typed, retired=False)[:9]) or list(
        rows.filter(cultivar__spoken__iexact=typed, retired=False)[:9]
    )
    if exact is None and len(near) != 1:
        fitting = [tree.name for tree in near] or list(MotherTree.objects.filter(retired=False).values_list("name", flat=True)[:8])
        said = (
            say("{name!r} fits {near} mother trees.", name=name[:60], near=len(near))
            if near
            else say("no mother tree is called {name!r}.", name=name[:60])
        )
        raise UnknownSubject(said, where="tree", remedy=say("Known: {names}.", names=listed(fitting, most=8) or say("none yet")))
    return exact or near[0]


def bag_lines(nursery: Nursery, *, now: datetime) -> list[BagLine]:
    """Bags that may hold wood, cut last first."""
    return _lines(bags_held(nursery, today=now.astimezone(nursery.zone).date()), nursery, now)


def bag_line(ident: UUID, nursery: Nursery, *, now: datetime) -> BagLine:
    """One bag, however long ago it was cut; its cautions say where its cutting was undone."""
    bag = ScionBag.objects.select_related("cultivar", "tree").filter(pk=ident).first()
    if bag is None:
        raise UnknownSubject(say("the book holds no such bag."), where="bag", remedy=say("Choose one that is listed in the yard."))
    today = now.astimezone(nursery.zone).date()
    told = {held.pk: sticks for held, sticks in bags_held(nursery, today=today)}
    line = _lines([(bag, told.get(bag.pk, bag.sticks))], nursery, now)[0]
    gone = [say("Its cutting was undone: throw its label away, its code is not used again.")] if cutting_undone(bag) else []
    said = [*gone, *bench_words(BenchDay(bag=bag), nursery)]
    return BagLine(bag, line.sticks, line.grafts, line.left, line.age, said, line.keeping)


def _tree_lines(nursery: Nursery, today: date, bags: Sequence[BagLine]) -> list[TreeLine]:
    rows = list(MotherTree.objects.filter(retired=False).select_related("cultivar"))
    apart, cut = set_apart([tree.key for tree in rows]), sticks_of_trees(nursery, today=today)
    wanted = _wanted({tree.cultivar for tree in rows}, bags, nursery, today)
    cautions = {key: found.words(str(tree), nursery) for tree in rows if (found := apart.get(key := tree.key))}
    return [TreeLine(tree, cut[tree.key], wanted[tree.cultivar_id], cautions.get(tree.key, ())) for tree in rows]


def _wanted(cultivars: Iterable[Cultivar], bags: Sequence[BagLine], nursery: Nursery, today: date) -> dict[UUID, Wanted]:
    """What the plan, or without one the wishes, of this growing year still want of some cultivars."""
    year = year_at(today, nursery)
    planned, made, per_stick = planned_grafts(year), made_in(year, nursery), _grafts_a_stick(today, nursery)[0]
    wished: Counter[UUID] = Counter()
    for wish, count in Wish.objects.filter(season=year, retired=False).values_list("cultivar_id", "wanted"):
        wished[wish] += count
    lying: Counter[UUID] = Counter()
    for line in bags:
        lying[line.bag.cultivar_id] += line.left or 0
    found = {}
    for cultivar in cultivars:
        open_grafts = planned.get(str(cultivar.pk), 0) - made.get(cultivar.pk, 0)
        found[cultivar.pk] = _wanted_one(open_grafts, str(cultivar.pk) in planned, wished[cultivar.pk], lying[cultivar.pk], per_stick)
    return found


def _wanted_one(open_grafts: int, planned: bool, wished: int, lying: int, per_stick: float) -> Wanted:
    if not planned:
        return (
            Wanted(say("{wished} wished for; no plan is accepted yet.", wished=wished), asked=True)
            if wished
            else Wanted(say("No plan or wish of this season asks for it."))
        )
    if open_grafts <= 0:
        return Wanted(say("The plan has all its grafts of it."))
    sticks = ceil(open_grafts / per_stick - 1e-9)
    asks = say(
        "The plan wants {more_grafts}: {sticks}",
        more_grafts=plural(open_grafts, "more graft", "more grafts"),
        sticks=plural(sticks, "stick"),
    )
    if lying >= sticks:
        return Wanted(say("{asks}, and {lying} lie in bags.", asks=asks, lying=lying))
    told = say("{asks}, of which {lying} lie in bags.", asks=asks, lying=lying) if lying else f"{asks}."
    return Wanted(told, sticks - lying, asked=True)


def _grafts_a_stick(today: date, nursery: Nursery) -> tuple[float, Method | None]:
    method = method_for(today, nursery)
    return (method.grafts_a_stick, method) if method else (_USUAL_PER_STICK, None)


def _lines(rows: Sequence[tuple[ScionBag, int | None]], nursery: Nursery, now: datetime) -> list[BagLine]:
    used, grafts = _used([bag.pk for bag, _ in rows])
    apart = set_apart([bag.key for bag, _ in rows])
    return [
        BagLine(
            bag,
            sticks,
            grafts[bag.pk],
            None if sticks is None else max(0, sticks - ceil(used[bag.pk] - 1e-9)),
            cut_ago(bag, nursery, now),
            apart[bag.key].words(str(bag), nursery) if bag.key in apart else (),
            keeping_of(bag, nursery, now=now),
        )
        for bag, sticks in rows
    ]


def _used(bags: Sequence[UUID]) -> tuple[dict[UUID, float], Counter[UUID]]:
    """Sticks that went into grafts of each bag, as each method says how many a stick gives, and how many grafts."""
    used: dict[UUID, float] = defaultdict(float)
    grafts: Counter[UUID] = Counter()
    for bag, per_stick in Graft.objects.filter(bag__in=bags).values_list("bag_id", "method__grafts_a_stick"):
        if bag is not None:
            used[bag] += 1.0 / (per_stick or _USUAL_PER_STICK)
            grafts[bag] += 1
    return used, grafts
