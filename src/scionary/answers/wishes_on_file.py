"""A season planned from a wish list on file: nothing of the file is written into the book."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date
from uuid import NAMESPACE_OID, UUID, uuid5

from scionary.answers.season_facts import WishFact, genus_of
from scionary.answers.season_problem import MOST_WISHES, too_many_words
from scionary.book.called import known_as
from scionary.book.models import Cultivar
from scionary.errors import BadFile, BadValue, Refused
from scionary.files.spreadsheets import read_table
from scionary.files.wishes import Wish as WishRow
from scionary.files.wishes import read_wishes
from scionary.language import say
from scionary.limits import LIMITS

_ASSURANCE = 0.9


def wishes_on_file(data: bytes, name: str) -> list[WishFact]:
    """The wishes of a file as facts; a cultivar that the book does not know is new and has no record."""
    try:
        table = read_table(data, name=name)
        listed = read_wishes(table, known_cultivars=list(Cultivar.objects.values_list("spoken", flat=True)))
    except BadValue as error:
        raise Refused(f"{error}.", where=name, remedy=say("Choose again.")) from error
    if len(table.rows) > LIMITS["import_rows"]:
        raise BadFile(
            say("it has {rows} rows; at most {import_rows} are taken in one go.", rows=len(table.rows), import_rows=LIMITS["import_rows"]),
            where=name,
            remedy=say("Split it."),
        )
    if listed.not_understood:
        first = listed.not_understood[0]
        raise BadFile(f"{say('row {row}', row=first.row)}, {first.column}: {first.why}", where=name, remedy=first.remedy)
    if len(listed.rows) > MOST_WISHES:
        raise Refused(too_many_words(len(listed.rows)), where=name, remedy=say("Make one wish of those for the same cultivar."))
    seen: Counter[UUID] = Counter()
    found = []
    for fact in (_fact(row, name) for row in listed.rows):
        seen[fact.cultivar] += 1
        number = seen[fact.cultivar]
        called = fact.name if number == 1 else say("{cultivar}, wish {number}", cultivar=fact.name, number=number)
        found.append(replace(fact, name=called))
    return found


def _fact(row: WishRow, name: str) -> WishFact:
    if not row.number or row.number > 100_000:
        raise BadFile(say("row {row} does not say how many {cultivar} are wanted.", row=row.row, cultivar=row.cultivar), where=name,
                      remedy=say("Write a number from 1 to 100,000."))  # fmt: skip
    known = known_as(row.cultivar)
    cultivar = Cultivar.objects.filter(pk=known.cultivar).first() if known else None
    ident: UUID = cultivar.pk if cultivar else uuid5(NAMESPACE_OID, row.cultivar.casefold())
    price = cultivar.price if cultivar else None
    return WishFact(
        ident=f"row {row.row}",
        cultivar=ident,
        name=cultivar.spoken if cultivar else row.cultivar,
        spoken=cultivar.spoken if cultivar else row.cultivar,
        genus=genus_of(cultivar.botanical) if cultivar else "",
        wanted=row.number,
        assurance=row.assurance or _ASSURANCE,
        worth=row.worth if row.worth is not None else None if price is None else float(price),
        by_when=_by_when(row),
        survival=cultivar.later_survival if cultivar else None,
        botanical=cultivar.botanical if cultivar else "",
    )


def _by_when(row: WishRow) -> date | None:
    """A day that the file names; a mere year does not limit the weeks."""
    return row.by_when if row.precision is None or str(row.precision).endswith("DAY") else None
