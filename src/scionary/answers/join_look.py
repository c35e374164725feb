"""Two names that may be one cultivar: what would change if they were joined. Nothing here writes."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from scionary.answers.alike import told_two
from scionary.answers.joins import Join, OneRow, all_joins
from scionary.answers.putting_right import would_be_renamed
from scionary.answers.words import plural
from scionary.book.called import spelling
from scionary.book.locks import chunks
from scionary.book.models import (
    AcceptedPlan,
    BenchDay,
    Cultivar,
    EventSubject,
    Graft,
    MotherTree,
    OtherName,
    Plant,
    ScionBag,
    Tally,
    Trial,
    Wish,
)
from scionary.book.projection import records_of
from scionary.book.settle import settle
from scionary.errors import Refused, UnknownSubject
from scionary.language import Words, forms, mark, say, several

# Each kind of row that belongs to a cultivar, with the words for one and for several.
_BELONGS: tuple[tuple[Any, str, str], ...] = (
    (MotherTree, *forms("mother tree", "mother trees")),
    (ScionBag, *forms("bag of scions", "bags of scions")),
    (Wish, *forms("wish", "wishes")),
    (BenchDay, *forms("bench day", "bench days")),
    (Tally, *forms("count from before the book", "counts from before the book")),
    (OtherName, *forms("other name", "other names")),
)
_NAMED_IN = {AcceptedPlan.noun: forms("accepted plan", "accepted plans"), Trial.noun: forms("trial", "trials")}
# What the kept cultivar takes over where its own record says nothing.
_TAKES_OVER = ("botanical", "trade_designation", "traits", "price", "later_survival", "note")
_PROTECTION = ("protected", "protected_until", "protection_register")
_EMPTY: tuple[Any, ...] = (None, "", {}, False)
_FIELD_WORDS = Words(
    {
        "botanical": mark("botanical"),
        "trade_designation": mark("trade designation"),
        "price": mark("price"),
        "note": mark("note"),
        "protected_until": mark("protected until"),
        "protection_register": mark("protection register"),
        "traits": mark("looks"),
        "later_survival": mark("later survival"),
        "protected": mark("protection"),
    }
)


@dataclass(frozen=True)
class Renamed:
    """A plant that gets another name: how it is called now, how it would be, and whether a label hangs on it."""

    plant: Plant
    before: str
    after: str
    number: int | None

    @property
    def labelled(self) -> bool:
        return self.plant.state not in (Plant.State.DEAD, Plant.State.LEFT)

    @property
    def renumbered(self) -> bool:
        return self.plant.running_number != self.number


@dataclass(frozen=True)
class JoinLook:
    """What joining two names would change; nothing is written."""

    keep: Cultivar
    give: Cultivar
    grafts: dict[UUID, dict[str, Any]]
    plants: list[Renamed]
    rows: list[OneRow]
    counted: list[str]
    takes_over: list[str]
    cautions: list[str]

    @property
    def labels(self) -> list[Renamed]:
        """The plants whose labels would show an old name."""
        return [each for each in self.plants if each.labelled]

    @property
    def renumbered(self) -> list[Renamed]:
        return [each for each in self.plants if each.renumbered]

    @property
    def taken_over_words(self) -> list[str]:
        """Price: 45.00; protection: yes."""
        return [f"{_FIELD_WORDS[name]}: {_said(getattr(self.give, name))}" for name in self.takes_over]

    @property
    def sentence(self) -> str:
        """Red Tran becomes Red Tarn: 3 plants, 1 mother tree; 2 plants get another number, 3 labels are to be written again."""
        moved = ", ".join([*([plural(len(self.plants), "plant", "plants")] if self.plants else []), *self.counted]) or say(
            "nothing else names it"
        )
        told = [say("{give} becomes {keep}: {moved}.", give=self.give, keep=self.keep, moved=moved)]
        if self.renumbered:
            told.append(several(len(self.renumbered), "{count} plant gets another number.", "{count} plants get another number."))
        if self.labels:
            told.append(say("{labels} to write again.", labels=plural(len(self.labels), "label")))
        return " ".join(told)

    @property
    def seen(self) -> str:
        """What was seen, in short: other than this, and the book has changed since."""
        names = [[str(each.plant.pk), each.before, each.after] for each in self.plants]
        rows = [[each.noun, str(each.ident), each.after] for each in self.rows]
        plain = json.dumps([str(self.keep.pk), str(self.give.pk), names, rows, sorted(map(str, self.grafts))], sort_keys=True, default=str)
        return hashlib.sha256(plain.encode()).hexdigest()[:32]

    def to_dict(self) -> dict[str, Any]:
        plants = [{"before": e.before, "after": e.after, "label": e.labelled, "renumbered": e.renumbered} for e in self.plants]
        told = {"keep": self.keep.spoken, "give_up": self.give.spoken, "sentence": self.sentence, "plants": plants}
        return {**told, "rows": self.counted, "taken_over": self.taken_over_words, "cautions": self.cautions, "seen": self.seen}


def look_at_join(keep: UUID, give: UUID, *, now: datetime) -> JoinLook:
    """What would change if `give` became `keep`; refused where that cannot be."""
    kept, given = _cultivar(keep), _cultivar(give)
    _check(kept, given)
    grafts = _grafts_named(given, kept)
    renamings = [each for each in would_be_renamed(grafts, now=now) if each.cultivar == kept.pk]
    plants = [Renamed(each.plant, each.plant.spoken, _spoken(kept, each.number), each.number) for each in renamings]
    rows = list(_rows(kept, given))
    if given.retired and not grafts and not rows and (done := _standing(given)):
        raise Refused(say("{joined} already.", joined=done.words), where="names", remedy=say("Its page says what was changed then."))
    return JoinLook(kept, given, grafts, plants, rows, _counted(rows), _takes_over(kept, given), _cautions(kept, given))


def _cultivar(ident: UUID) -> Cultivar:
    found = Cultivar.objects.filter(pk=ident).first()
    if found is None:
        raise UnknownSubject(say("the book holds no such cultivar."), where="cultivar", remedy=say("Choose one that is listed."))
    return found


def _check(keep: Cultivar, give: Cultivar) -> None:
    if keep.pk == give.pk:
        raise Refused(say("{keep} cannot be joined with itself.", keep=keep), where="names", remedy=say("Name two cultivars."))
    if keep.retired and (done := _standing(keep)):
        raise Refused(f"{done.words}.", where="names", remedy=say("Join with {kept} instead.", kept=done.kept))


def _standing(give: Cultivar) -> Join | None:
    return next((each for each in all_joins() if each.stands and each.give == give.pk), None)


def _grafts_named(give: Cultivar, keep: Cultivar) -> dict[UUID, dict[str, Any]]:
    """Every record of a plant that names this cultivar as things stand, with its correction; what is undone is left alone."""
    about = EventSubject.objects.filter(event__subjects__key=give.key, subject__key__startswith="plant:")
    keys = set(about.values_list("subject_id", flat=True))
    keys |= {f"plant:{ident}" for ident in Plant.objects.filter(cultivar=give.pk).values_list("pk", flat=True)}
    keys |= {f"plant:{ident}" for ident in Graft.objects.filter(cultivar=give.pk).values_list("plant_id", flat=True)}
    found: dict[UUID, dict[str, Any]] = {}
    for chunk in chunks(keys):
        for records in records_of(chunk).values():
            named = [record for record in settle(records) if record.payload.get("cultivar") == str(give.pk)]
            found |= {record.id: {"cultivar": str(keep.pk)} for record in named}
    return found


def _rows(keep: Cultivar, give: Cultivar) -> Iterator[OneRow]:
    """Every row that names this cultivar, with the fields that change."""
    for model, _, _ in _BELONGS:
        for ident in model._default_manager.filter(cultivar=give.pk).order_by("pk").values_list("pk", flat=True):
            yield OneRow(model.noun, ident, {"cultivar_id": str(give.pk)}, {"cultivar_id": str(keep.pk)})
    for plan in AcceptedPlan.objects.order_by("pk"):
        if any(line.get("cultivar") == str(give.pk) for line in plan.lines):
            yield OneRow(plan.noun, plan.pk, {"lines": plan.lines}, {"lines": _planned(plan.lines, keep, give)})
    for trial in Trial.objects.order_by("pk"):
        if str(give.pk) in map(str, trial.cultivars):
            named = [str(keep.pk) if str(ident) == str(give.pk) else str(ident) for ident in trial.cultivars]
            yield OneRow(trial.noun, trial.pk, {"cultivars": trial.cultivars}, {"cultivars": list(dict.fromkeys(named))})


def _planned(lines: list[dict[str, Any]], keep: Cultivar, give: Cultivar) -> list[dict[str, Any]]:
    """The lines of a plan with both names under one, their numbers added."""
    found: dict[str, dict[str, Any]] = {}
    for line in lines:
        ident = str(keep.pk) if line["cultivar"] == str(give.pk) else line["cultivar"]
        there = found.get(ident, {})
        numbers = {name: there[name] + value for name, value in line.items() if name in there and isinstance(value, int)}
        found[ident] = {**line, **there, **numbers, "cultivar": ident}
    return list(found.values())


def _counted(rows: list[OneRow]) -> list[str]:
    """2 mother trees, 1 wish: what else would change."""
    counts = Counter(row.noun for row in rows)
    words = {model.noun: (one, many) for model, one, many in _BELONGS} | _NAMED_IN
    return [plural(counts[noun], *both) for noun, both in words.items() if counts[noun]]


def _takes_over(keep: Cultivar, give: Cultivar) -> list[str]:
    """The fields of which the kept cultivar says nothing and the other does; what is protected stays so."""
    found = [name for name in _TAKES_OVER if getattr(keep, name) in _EMPTY and getattr(give, name) not in _EMPTY]
    return [*found, *(_PROTECTION if give.protected and not keep.protected else ())]


def _said(value: Any) -> str:
    return say("yes") if value is True else ", ".join(value) if isinstance(value, dict) else str(value) if value else say("not known")


def _cautions(keep: Cultivar, give: Cultivar) -> list[str]:
    """What speaks against it, or must be looked at after."""
    told = []
    if keep.botanical and give.botanical and spelling(keep.botanical) != spelling(give.botanical):
        told.append(
            say(
                "Their botanical names differ: {first} and {second}. {give}'s stays with the name that is given up.",
                first=keep.botanical,
                second=give.botanical,
                give=give,
            )
        )
    if frozenset((keep.pk, give.pk)) in told_two():
        told.append(say("It was said of these two before that they are two."))
    if keep.retired:
        told.append(say("{keep} is marked as no longer grown.", keep=keep))
    wishes = Wish.objects.filter(retired=False)
    years = sorted({*_seasons(wishes, keep)} & {*_seasons(wishes, give)})
    if years:
        listed = ", ".join(map(str, years))
        told.append(
            say("Both are wished for in {years}: the wishes then stand side by side. Take one away if it is the same wish.", years=listed)
        )
    return told


def _seasons(wishes: QuerySet[Wish], cultivar: Cultivar) -> QuerySet[Wish, int]:
    return wishes.filter(cultivar=cultivar.pk).values_list("season", flat=True)


def _spoken(cultivar: Cultivar, number: int | None) -> str:
    return f"{cultivar.spoken} {number}" if number else cultivar.spoken
