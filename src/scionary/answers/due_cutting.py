"""What is due in the yard: scions to be cut where plan or bench day wants them and the morning allows it, and mother trees to water."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from uuid import UUID

import numpy as np

from scionary.answers.bench import planned_grafts
from scionary.answers.cutting import CutAnswer, Rating, cut_all, morning_day, reason_words
from scionary.answers.due_lines import DueLine
from scionary.answers.growing_year import year_at
from scionary.answers.held import held
from scionary.answers.method_season import LEAST_YEARS, kind_windows
from scionary.answers.put_off import SetAsides
from scionary.answers.stages import season_begin
from scionary.answers.words import listed, plural, weekday_soon
from scionary.answers.yard import yard
from scionary.book import queries
from scionary.book.models import BenchDay, Graft, MotherTree, Nursery, Wish
from scionary.language import mark, say

SOON = timedelta(days=2)  # a bench day so near asks for its wood; project default, unsourced
_HALF_YEAR = timedelta(days=182)
_OPEN = 0.5
_RESTS_ON = mark("the plan or the bench day, and for each tree what its own page says")


@dataclass
class Want:
    """Wood that is wanted of a tree: for which kinds of grafts, how many sticks, and for which bench day."""

    tree: MotherTree
    kinds: set[bool] = field(default_factory=set)  # True: in leaf
    sticks: int = 0
    bench: date | None = None


def cutting_lines(nursery: Nursery, asides: SetAsides, today: date) -> list[DueLine]:
    """Lines for cutting, by the verdict, and one for watering; none where neither plan nor bench day wants scions."""
    wants = held("cut_wants", (queries.stamp(), today), lambda: _wants(nursery, today))
    if not wants:
        return []
    cuts = cut_all([want.tree for want in wants], nursery, today=today)
    open_now = open_kinds(nursery, today)
    asked = [want for want in wants if want.bench or cuts[want.tree.pk].leafy in (want.kinds & open_now)]
    asked = [
        want for want in asked if not asides.hides(want.tree.key, "cut", _since(want, cuts[want.tree.pk].leafy, today, nursery), today)
    ]
    groups: dict[tuple[Rating, bool], list[Want]] = defaultdict(list)
    for want in asked:
        cut = cuts[want.tree.pk]
        if cut.rating is not Rating.BAD or want.bench:
            groups[cut.rating, cut.by_weather].append(want)
    lines = [_cut_line(rating, some, cuts, nursery, today) for (rating, _), some in sorted(groups.items(), key=lambda item: item[0])]
    return [*lines, *_water_line([want for want in wants if True in want.kinds], cuts, asides, today)]


def open_kinds(nursery: Nursery, today: date) -> set[bool]:
    """Which kinds of grafting are open on a day: by the site's windows, without some years of weather by the solstices."""
    column = min((today - season_begin(today, nursery)).days, 364)
    known = {kind.leafy: kind.window.chance[column] for kind in kind_windows(nursery, today) if kind.window.years >= LEAST_YEARS}
    by_sun = {True: float(column >= _HALF_YEAR.days), False: float(column < _HALF_YEAR.days)}
    return {leafy for leafy, sun in by_sun.items() if (sun if np.isnan(known.get(leafy, np.nan)) else known[leafy]) >= _OPEN}


def _wants(nursery: Nursery, today: date) -> list[Want]:
    near = list(benches_without_wood(today, today + SOON))
    year = year_at(today, nursery)
    found: dict[UUID, Want] = {}
    if planned_grafts(year):
        kinds = _kinds_wished(year)
        noon = datetime.combine(today, time(12), nursery.zone)
        for line in yard(nursery, now=noon).trees:
            if line.wanted.sticks > 0 and (line.left is None or line.left > 0):
                found[line.tree.pk] = Want(line.tree, kinds.get(line.tree.cultivar_id, {True, False}), line.wanted.sticks)
    for bench in near:
        for tree in trees_for(bench):
            want = found.setdefault(tree.pk, Want(tree))
            want.bench = min(filter(None, (want.bench, bench.day)))
            want.kinds = want.kinds | ({bench.method.leafy} if bench.method else {True, False})
    return list(found.values())


def _kinds_wished(year: int) -> dict[UUID, set[bool]]:
    """In leaf or dormant, as this season's wishes name a method; a wish without one may be grafted either way."""
    kinds: dict[UUID, set[bool]] = defaultdict(set)
    for cultivar, leafy in Wish.objects.filter(season=year, retired=False).values_list("cultivar_id", "method__leafy"):
        kinds[cultivar] |= {True, False} if leafy is None else {leafy}
    return kinds


def benches_without_wood(first: date, last: date) -> Sequence[BenchDay]:
    """Bench days of these days at which nothing is grafted yet and for which no bag is chosen."""
    rows = BenchDay.objects.filter(day__gte=first, day__lte=last, bag=None).select_related("method", "tree__cultivar")
    begun = set(Graft.objects.filter(bench__in=rows).values_list("bench_id", flat=True))
    return [row for row in rows if row.pk not in begun and (row.tree_id or row.cultivar_id)]


def trees_for(bench: BenchDay) -> list[MotherTree]:
    """The mother trees whose wood a bench day may want."""
    if bench.tree is not None:
        return [bench.tree]
    return list(MotherTree.objects.filter(cultivar=bench.cultivar, retired=False).select_related("cultivar"))


def _since(want: Want, leafy: bool, today: date, nursery: Nursery) -> date:
    """When the need began: with the bench day, or with the half-year in which such wood is cut."""
    if want.bench is not None:
        return want.bench - SOON
    begins = season_begin(today, nursery)
    return begins + _HALF_YEAR if leafy else begins


def _cut_line(rating: Rating, wants: Sequence[Want], cuts: dict[UUID, CutAnswer], nursery: Nursery, today: date) -> DueLine:
    first = cuts[wants[0].tree.pk]
    names = listed([_name(want) for want in wants], most=3)
    words = reason_words(first.verdict.words, nursery)
    if rating is Rating.GOOD:
        what = say("Cut scions this morning: {names}", names=names)
        why = " ".join(reason_words(reason.words, nursery) for reason in first.verdict.reasons)
    elif rating is Rating.BAD:
        what, why = say("Do not cut scions this morning: {names}", names=names), words
    elif not first.by_weather and first.verdict.unknown:
        trees = listed([str(want.tree) for want in wants], most=3)
        what = say("Before you cut scions of {names}: soaked, firm at dawn, dry?", names=trees)
        why = say("The book knows no weather of today: three answers and a look at the wood say whether this is a morning to cut.")
    else:
        what, why = say("Look before you cut scions: {names}", names=names), words
    if first.next_best is not None and rating is not Rating.GOOD:
        why = say("{why} Better: {day}.", why=why, day=morning_day(first.next_best))
    benches = [want.bench for want in wants if want.bench]
    if benches:
        why = say("{why} They are wanted for the bench on {day}.", why=why, day=weekday_soon(min(benches)))
    return DueLine("cut", what, why, today, 0, say(_RESTS_ON), keys=tuple(want.tree.key for want in wants))


def _name(want: Want) -> str:
    return say("{sticks} of {tree}", sticks=plural(want.sticks, "stick"), tree=want.tree) if want.sticks else str(want.tree)


def _water_line(wants: Sequence[Want], cuts: dict[UUID, CutAnswer], asides: SetAsides, today: date) -> list[DueLine]:
    """One line for wanted trees in leaf whose soil runs short for sure."""
    dry = [cut for want in wants if (cut := cuts[want.tree.pk]).thirst is not None]
    dry = [cut for cut in dry if cut.thirst and not asides.hides(cut.tree.key, "water_tree", cut.thirst.since, today)]
    if not dry:
        return []
    thirst = dry[0].thirst
    assert thirst is not None
    what = say("Water the mother trees: {names}", names=listed([str(cut.tree) for cut in dry], most=3))
    told = {"tree": dry[0].tree, "litres": thirst.litres}
    why = say("Their soil runs short of water, and scions are wanted: {litres} fill that of {tree}.", **told)
    since = min(cut.thirst.since for cut in dry if cut.thirst)
    rests_on = say("rain, warmth and waterings since about a year, and the soil or pot of each tree")
    return [DueLine("water_tree", what, why, since, 0, rests_on, event=("watered", {}), keys=tuple(cut.tree.key for cut in dry))]
