"""Mother trees, bags and stock lots that stand in quarantine or whose name is in doubt: since when, why, and what came from them since."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from scionary.answers.pedigree import forebears_of_tree
from scionary.book import queries
from scionary.book.apart import QUARANTINE, open_marks
from scionary.book.models import BenchDay, Event, Graft, MotherTree, Nursery, Plant, RootstockLot, ScionBag
from scionary.book.settle import Record
from scionary.language import mark, say

_SHOWN = 20
_ASK = mark("Before plants of it are moved or sold, ask the plant health authority: the book only records.")


@dataclass(frozen=True)
class SetApart:
    """What stands about a tree, bag or lot; None where there is no open quarantine, or no open doubt in its name."""

    quarantine: Record | None = None
    doubt: Record | None = None

    def words(self, what: str, nursery: Nursery) -> list[str]:
        """What must be said where its wood or stocks are used."""
        said = []
        if self.quarantine:
            said.append(
                say(
                    "{capital} stands in quarantine since {since}. {ask}",
                    capital=_capital(what),
                    since=_since(self.quarantine, nursery),
                    ask=_ASK,
                )
            )
        if self.doubt:
            said.append(say("The name of {what} is in doubt since {since}.", what=what, since=_since(self.doubt, nursery)))
        return said


def set_apart(keys: Iterable[str]) -> dict[str, SetApart]:
    """Those of these subjects, ``tree:…``, ``bag:…`` or ``lot:…``, about which a quarantine or a doubt is open."""
    wanted = list(keys)
    quarantined, doubted = open_marks(wanted)
    return {key: SetApart(quarantined.get(key), doubted.get(key)) for key in wanted if key in quarantined or key in doubted}


def apart_sources(plants: Iterable[Plant]) -> dict[UUID, str]:
    """The plants whose last graft is of a tree or bag that is set apart or in doubt, with that in words."""
    sources = _sources(plants)
    found = set_apart({row.key for rows in sources.values() for row in rows})
    told = {pk: [words for row in rows for words in _short(row, found.get(row.key, SetApart()))] for pk, rows in sources.items()}
    return {pk: "; ".join(words) for pk, words in told.items() if words}


def _sources(plants: Iterable[Plant]) -> dict[UUID, list[MotherTree | ScionBag]]:
    """The tree and the bag of each plant's last graft."""
    last = {plant.pk: grafts[-1] for plant in plants if (grafts := list(plant.grafts.all()))}
    bags = ScionBag.objects.select_related("tree").in_bulk({graft.bag_id for graft in last.values() if graft.bag_id})
    found: dict[UUID, list[MotherTree | ScionBag]] = {}
    for pk, graft in last.items():
        bag = bags.get(graft.bag_id) if graft.bag_id else None
        found[pk] = [row for row in (graft.tree or (bag.tree if bag else None), bag) if row is not None]
    return found


def _short(row: MotherTree | ScionBag, apart: SetApart) -> list[str]:
    doubt = [say("the name of {row} is in doubt: {reason}", row=row, reason=apart.doubt.payload["reason"])] if apart.doubt else []
    return doubt + (
        [say("{row} stands in quarantine: {reason}", row=row, reason=apart.quarantine.payload["reason"])] if apart.quarantine else []
    )


def bench_words(bench: BenchDay, nursery: Nursery) -> list[str]:
    """What to know before grafting with what the bench is set for: its tree, bag and lot, and the plants that the tree grew from."""
    tree = bench.tree or (bench.bag.tree if bench.bag else None)
    used = {
        row.key: what
        for row, what in ((tree, f"{tree}"), (bench.bag, f"{bench.bag}"), (bench.lot, say("stock lot {lot}", lot=bench.lot)))
        if row
    }
    found = set_apart(used)
    said = [words for key, what in used.items() if key in found for words in found[key].words(what, nursery)]
    for step in forebears_of_tree(tree) if tree else ():
        cautions = [words for words in (step.plant.quarantine_caution, step.plant.name_caution) if words]
        said += [
            say("{grown_into} grew from {spoken}: {words}.", grown_into=step.grown_into, spoken=step.plant.spoken, words=words)
            for words in cautions
        ]
    return said


def apart_of(row: Any, nursery: Nursery) -> list[tuple[str, list[Plant], int]]:
    """For the page of a tree, bag or lot: what stands about it in words, the first plants that came in since, and how many did."""
    found = set_apart([row.key]).get(row.key, SetApart())
    begun = [record for record in (found.quarantine, found.doubt) if record]
    since = [come_in_since(row, record) for record in begun]
    return [(words, list(plants[:_SHOWN]), plants.count()) for words, plants in zip(found.words(str(row), nursery), since, strict=True)]


def come_in_since(row: MotherTree | ScionBag | RootstockLot, begun: Record) -> QuerySet[Plant]:
    """Living or sold plants whose graft with this wood or stock was written down after the quarantine or doubt, and are not set apart."""
    source = Q(tree=row) | Q(bag__tree=row) if isinstance(row, MotherTree) else Q(**{row.noun: row})
    begun_at = Event.objects.filter(pk=begun.id).values("recorded_at")[:1]
    later = Event.objects.filter(pk=OuterRef("pk"), recorded_at__gt=Subquery(begun_at))
    grafts = Graft.objects.filter(source).filter(Exists(later))
    column = "quarantined_at" if begun.kind == QUARANTINE[0] else "name_doubted_at"
    return queries.plants().filter(pk__in=grafts.values("plant_id"), **{column: None}).exclude(state=Plant.State.DEAD)


def _since(record: Record, nursery: Nursery) -> str:
    return f"{record.happened_at.astimezone(nursery.zone).date().isoformat()}: {record.payload['reason']}"


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
