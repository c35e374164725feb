"""A season planned from a wish list on file: nothing of the file is written into the book."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import date
from uuid import NAMESPACE_OID, UUID, uuid5

from scionary.answers.file_names import NamePreview, names_used
from scionary.answers.season_facts import WishFact, genus_of
from scionary.answers.season_problem import MOST_WISHES, too_many_words
from scionary.answers.wish_import import ReadWishes, WishReading, by_when, check_dates, kept_names, late_words, read_list, sum_words
from scionary.answers.words import listed
from scionary.book.called import names_of_book
from scionary.book.models import Cultivar, PotKind
from scionary.errors import BadFile, Refused
from scionary.files.past_roles import IGNORE
from scionary.files.wishes import Wish as WishRow
from scionary.language import say

_ASSURANCE = 0.9
_MOST_ROWS_TOLD = 20


@dataclass(frozen=True)
class WishesOnFile:
    """A wish list as a plan takes it: `cultivars` says which names are new and nearly others, `told` what a person should look at."""

    wishes: tuple[WishFact, ...]
    cultivars: tuple[NamePreview, ...]
    told: tuple[str, ...]


def wishes_on_file(data: bytes, name: str, *, today: date, how: WishReading | None = None) -> WishesOnFile:
    """The wishes of a file; a cultivar that the book does not know is new and has no record. All bad rows are told at once."""
    used = how or WishReading()
    read = read_list(data, name, used, today)
    check_dates(read, name)
    _check_columns(read, name)
    _check_rows(read, name)
    book = names_of_book()
    names = kept_names(read.wishes, used, book)
    pots = {pot.name.casefold(): pot.pk for pot in PotKind.objects.filter(retired=False)}
    facts = [_fact(wish, called, pots) for wish, called in zip(read.wishes, names, strict=True)]
    known = Cultivar.objects.values_list("spoken", flat=True)
    near = names_used(((called, wish.number or 0) for wish, called in zip(read.wishes, names, strict=True)), known)
    told = (*([] if used.mapping else _unread(read)), *sum_words(read), *late_words(read, today))
    return WishesOnFile(tuple(_told_apart(facts)), near, told)


def _check_columns(read: ReadWishes, name: str) -> None:
    """Refuse a list of which no column says how many."""
    if "number" in read.found.mapping.values():
        return
    unread = [header for header, role in read.found.mapping.items() if role == IGNORE]
    raise BadFile(
        say("no column says how many are wanted; not read: {headers}.", headers=listed(unread) or say("none")),
        where=name, remedy=say("Say which it is: {header}=number.", header=unread[0] if unread else say("Number")),
    )  # fmt: skip


def _check_rows(read: ReadWishes, name: str) -> None:
    """Refuse a list with rows that are not understood, all of them in one go."""
    bad = sorted(read.not_understood, key=lambda problem: problem.row)
    if bad:
        told = [
            say("row {row}, {column} {text!r}: {why} {remedy}",
                row=each.row, column=each.column, text=each.text[:40], why=each.why, remedy=each.remedy)
            for each in bad[:_MOST_ROWS_TOLD]
        ]  # fmt: skip
        more = say("And {number} more.", number=len(bad) - _MOST_ROWS_TOLD) if bad[_MOST_ROWS_TOLD:] else ""
        raise BadFile("\n".join(told), where=name, remedy=more)
    if not read.wishes:
        raise Refused(say("no row holds a wish."), where=name, remedy=say("Look at what each column holds."))
    if len(read.wishes) > MOST_WISHES:
        raise Refused(too_many_words(len(read.wishes)), where=name, remedy=say("Make one wish of those for the same cultivar."))


def _unread(read: ReadWishes) -> list[str]:
    """Which columns are not read; none where all are."""
    unread = [header for header, role in read.found.mapping.items() if role == IGNORE]
    return [say("Not read, since the header does not say what it holds: {headers}.", headers=listed(unread))] if unread else []


def _told_apart(facts: list[WishFact]) -> list[WishFact]:
    """One name a wish; a second wish of one cultivar by its number."""
    seen: Counter[UUID] = Counter()
    found = []
    for fact in facts:
        seen[fact.cultivar] += 1
        number = seen[fact.cultivar]
        called = fact.name if number == 1 else say("{cultivar}, wish {number}", cultivar=fact.name, number=number)
        found.append(replace(fact, name=called))
    return found


def _fact(row: WishRow, name: str, pots: dict[str, UUID]) -> WishFact:
    """A row as a fact; a pot that the book does not know is any."""
    cultivar = Cultivar.objects.filter(spoken=name).order_by("retired").first()
    price = cultivar.price if cultivar else None
    return WishFact(
        ident=f"row {row.row}",
        cultivar=cultivar.pk if cultivar else uuid5(NAMESPACE_OID, name.casefold()),
        name=cultivar.spoken if cultivar else name,
        spoken=cultivar.spoken if cultivar else name,
        genus=genus_of(cultivar.botanical) if cultivar else "",
        wanted=row.number or 0,
        assurance=row.assurance or _ASSURANCE,
        worth=row.worth if row.worth is not None else None if price is None else float(price),
        by_when=by_when(row),
        survival=cultivar.later_survival if cultivar else None,
        pot=pots.get(row.size.casefold()),
        botanical=cultivar.botanical if cultivar else "",
    )
