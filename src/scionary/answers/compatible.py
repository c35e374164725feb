"""Which stocks carry which scions: the book's own rows before the usual ones, and what the book itself lost on each pair."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Count, Q

from scionary.answers.held import held
from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.kinds import plain
from scionary.book.models import Graft, Nursery
from scionary.book.patience import patiently
from scionary.errors import Refused, UnknownSubject
from scionary.language import Words, mark, say
from scionary.union import COMPATIBILITY, CompatibilityRow, Verdict, compatibility

OWN = mark("my own practice")
VERDICT_WORDS = Words(
    {
        Verdict.GOOD: mark("carries it"),
        Verdict.DOUBTFUL: mark("doubtful"),
        Verdict.FAILS: mark("fails"),
        Verdict.UNKNOWN: mark("not known"),
    }
)
LONGEST_NAME, LONGEST_SOURCE, LONGEST_NOTE = 80, 200, 400
_MOST_ROWS = 500


@dataclass(frozen=True)
class ShownRow:
    """A row of the table: `own` where the book added or changed it."""

    row: CompatibilityRow
    own: bool

    @property
    def verdict(self) -> str:
        return VERDICT_WORDS[self.row.verdict]

    @property
    def source(self) -> str:
        return say(self.row.source)

    @property
    def note(self) -> str:
        return say(self.row.note)


@dataclass(frozen=True)
class Lost:
    """Grafts of one scion on one kind of stock in this book: how many there are, and how many were lost."""

    stock: str
    scion: str
    grafts: int
    lost: int
    verdict: str


def own_rows(nursery: Nursery | None = None) -> list[CompatibilityRow]:
    """The rows that the book adds or changes, in their order."""
    kept = (nursery or queries.nursery()).compatibility
    return [CompatibilityRow(row["stock"], row["scion"], Verdict(row["verdict"]), row["source"], row.get("note", "")) for row in kept]


def rows_of(nursery: Nursery | None = None) -> tuple[CompatibilityRow, ...]:
    """All rows as the engine reads them: the book's before the usual."""
    return (*own_rows(nursery), *COMPATIBILITY)


def rows_shown(nursery: Nursery) -> list[ShownRow]:
    """All rows that hold: the book's, then the usual ones that it has not changed."""
    own = own_rows(nursery)
    changed = {(row.stock, row.scion) for row in own}
    usual = [row for row in COMPATIBILITY if (row.stock, row.scion) not in changed]
    return [*(ShownRow(row, True) for row in own), *(ShownRow(row, False) for row in usual)]


def row_called(stock: str, scion: str, nursery: Nursery) -> ShownRow:
    found = next((each for each in rows_shown(nursery) if (each.row.stock, each.row.scion) == (stock, scion)), None)
    if found is None:
        raise UnknownSubject(say("the table has no such row."), where="stock", remedy=say("Choose one that is listed."))
    return found


@patiently
def save_row(was: tuple[str, str], values: Mapping[str, Any], *, now: datetime, who: str = "") -> Nursery:
    """Change the row that spoke of these two, or add one; a usual row that is changed stays behind the book's."""
    row = _checked(values)
    pair = (row["stock"], row["scion"])
    with transaction.atomic():
        kept = [dict(each) for each in queries.nursery().compatibility]
        others = [(each["stock"], each["scion"]) for each in kept if (each["stock"], each["scion"]) != was]
        if pair in others:
            raise Refused(
                say("{stock} and {scion} stand there already.", stock=pair[0], scion=pair[1]),
                where="stock",
                remedy=say("Change that row, or give other names."),
            )
        place = next((at for at, each in enumerate(kept) if (each["stock"], each["scion"]) == was), None)
        if place is None:
            if len(kept) >= _MOST_ROWS:
                raise Refused(say("{rows} rows are kept already.", rows=len(kept)), where="stock", remedy=say("Take one out first."))
            kept.append(row)
        else:
            kept[place] = row
        return save_noun(Nursery, {"compatibility": kept}, now=now, pk=queries.nursery().pk, who=who)


@patiently
def drop_row(stock: str, scion: str, *, now: datetime, who: str = "") -> Nursery:
    """Take a row of the book out; a usual one that it had changed holds again."""
    with transaction.atomic():
        kept = queries.nursery().compatibility
        left = [dict(each) for each in kept if (each["stock"], each["scion"]) != (stock, scion)]
        if len(left) == len(kept):
            raise UnknownSubject(say("the book has no such row of its own."), where="stock", remedy=say("Choose one that is listed."))
        return save_noun(Nursery, {"compatibility": left}, now=now, pk=queries.nursery().pk, who=who)


def _checked(values: Mapping[str, Any]) -> dict[str, str]:
    found = {name: " ".join(plain(str(values.get(name) or "")).split()) for name in ("stock", "scion", "source", "note")}
    found |= {name: found[name].lower() for name in ("stock", "scion")}
    limits = {"stock": LONGEST_NAME, "scion": LONGEST_NAME, "source": LONGEST_SOURCE, "note": LONGEST_NOTE}
    for name, longest in limits.items():
        if len(found[name]) > longest or (name in ("stock", "scion") and not found[name]):
            remedy = say("Give a species, a section or a genus: acer palmatum, acer sect. palmata, acer.")
            raise Refused(say("{name} is {value!r}.", name=name, value=found[name][:40]), where=name, remedy=remedy)
    found["source"] = found["source"] or OWN
    try:
        return {**found, "verdict": Verdict(values.get("verdict", "")).value}
    except ValueError:
        choices = ", ".join(Verdict)
        raise Refused(say("that is no verdict."), where="verdict", remedy=say("Give one of {choices}.", choices=choices)) from None


def losses_by_pair(nursery: Nursery) -> list[Lost]:
    """What this book's own grafts say of each stock and scion of which both botanical names are written down."""
    return held("losses_by_pair", (queries.stamp(), repr(nursery.compatibility)), lambda: _losses(nursery))


def _losses(nursery: Nursery) -> list[Lost]:
    named = Graft.objects.exclude(lot__species="").exclude(cultivar__botanical="").exclude(lot=None).exclude(cultivar=None)
    lost = Count("id", filter=Q(lost_at__isnull=False))
    rows = named.order_by().values_list("lot__species", "cultivar__botanical").annotate(all=Count("id"), gone=lost)
    found: dict[tuple[str, str], list[int]] = {}
    for stock, scion, grafts, gone in rows:
        counted = found.setdefault((_species(stock), _species(scion)), [0, 0])
        counted[0] += grafts
        counted[1] += gone
    table = rows_of(nursery)
    told = [
        Lost(stock, scion, grafts, gone, VERDICT_WORDS[compatibility(stock, scion, table).verdict])
        for (stock, scion), (grafts, gone) in found.items()
    ]
    return sorted(told, key=lambda each: (-each.lost / each.grafts, -each.grafts, each.stock))


def _species(name: str) -> str:
    """Genus and species in small letters."""
    return " ".join(name.split("'")[0].split(",")[0].replace("×", " ").lower().split()[:2])
