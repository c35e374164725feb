"""Taking a wish list from a spreadsheet into the book: first a look, then all or nothing."""

from __future__ import annotations

import calendar
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.db import transaction

from scionary.answers.called import all_kept_as_words
from scionary.answers.file_names import NamePreview, added_words, names_used, new_names_words
from scionary.answers.growing_year import year_at
from scionary.answers.offers import accepted_before, accepted_on, check_size, keep_accepted
from scionary.answers.past_preview import DATE_ORDER_WORDS, Question, RowPreview
from scionary.answers.words import how_sure, plural
from scionary.book import queries
from scionary.book.called import NamesOfBook, names_of_book
from scionary.book.commands import cultivar_called, save_noun
from scionary.book.models import Cultivar, PotKind, Wish
from scionary.book.patience import patiently
from scionary.errors import BadFile, BadValue, Refused
from scionary.files.past_records import NotUnderstood
from scionary.files.spreadsheets import Table, read_table
from scionary.files.wishes import Wish as WishRow
from scionary.files.wishes import WishList, read_wishes
from scionary.language import either, say
from scionary.limits import LIMITS

KIND = "wishes"
NUMBER = "number"  # the role of the column that says how many
_SUMS = ("total", "totals", "subtotal", "sum", "summe", "gesamt", "somme", "totaal", "suma")
_LONGEST_NAME = 60
_ASSURANCE = 0.9


@dataclass(frozen=True)
class WishReading:
    """How a person wants a wish list read: columns, date order, sheet, the growing year, and what misspelt names are."""

    mapping: Mapping[str, str] | None = None
    date_order: str | None = None
    sheet: str | None = None
    season: int | None = None
    cultivars: Mapping[str, str] | None = None


@dataclass(frozen=True)
class WishPreview:
    """What a wish list would bring into the book; nothing is written."""

    name: str
    season: int
    rows: tuple[RowPreview, ...]
    wishes: int
    wanted: int
    not_understood: int
    headers: tuple[str, ...]
    mapping: dict[str, str]
    questions: tuple[Question, ...]
    cultivars: tuple[NamePreview, ...]
    new_cultivars: tuple[str, ...]
    warnings: tuple[str, ...]
    read_before: str
    words: str

    @property
    def uncounted(self) -> bool:
        """No column says how many are wanted."""
        return NUMBER not in self.mapping.values()

    @property
    def new_names(self) -> str:
        return new_names_words({"cultivar": self.cultivars})

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True)
class WishResult:
    """What came into the book from a wish list."""

    name: str
    season: int
    wishes: int
    wanted: int
    new_cultivars: tuple[str, ...]
    rows_left_out: tuple[int, ...]
    words: str

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True)
class ReadWishes:
    """A wish list as it was read: rows that are wishes, and what of the others is not understood."""

    table: Table
    found: WishList
    wishes: list[WishRow]
    not_understood: list[NotUnderstood]
    season: int


def preview_wishes(data: bytes, name: str, *, today: date, how: WishReading | None = None) -> WishPreview:
    """What each row of a wish list would become; nothing is written."""
    used = how or WishReading()
    read = read_list(data, name, used, today)
    book = names_of_book()
    names = kept_names(read.wishes, used, book)
    rows = [RowPreview(wish.row, "wish", _words(wish, called)) for wish, called in zip(read.wishes, names, strict=True)]
    rows += [RowPreview(p.row, say("not understood"), p.why, p.column, p.text, p.remedy) for p in read.not_understood]
    bad_rows = len({problem.row for problem in read.not_understood})
    wanted = sum(wish.number or 0 for wish in read.wishes)
    before = accepted_before(data, KIND)
    words = say(
        "{wishes}, {plants}, for the growing year {season}.",
        wishes=plural(len(read.wishes), "wish", "wishes"),
        plants=plural(wanted, "plant"),
        season=read.season,
    )
    words += say(" {rows} not understood.", rows=plural(bad_rows, "row")) if bad_rows else ""
    return WishPreview(
        name=name,
        season=read.season,
        rows=tuple(sorted(rows, key=lambda row: row.row)),
        wishes=len(read.wishes),
        wanted=wanted,
        not_understood=bad_rows,
        headers=read.table.headers,
        mapping=dict(read.found.mapping),
        questions=tuple(_questions(read)),
        cultivars=names_used(
            ((called, wish.number or 0) for wish, called in zip(read.wishes, names, strict=True)),
            Cultivar.objects.values_list("spoken", flat=True),
        ),
        new_cultivars=_new(names, book),
        warnings=(*all_kept_as_words((_meant(wish, used) for wish in read.wishes), book), *_warnings(read, names, today)),
        read_before=accepted_on(before) if before else "",
        words=words,
    )


@patiently
def accept_wishes(
    data: bytes, name: str, *, now: datetime, how: WishReading | None = None, skip_not_understood: bool = False, who: str = ""
) -> WishResult:
    """Take a wish list into the book, all or nothing; rows not understood only stay behind when the person said so."""
    used = how or WishReading()
    before = accepted_before(data, KIND)
    if before is not None:
        day = accepted_on(before)
        raise Refused(say("this very list was taken in on {day}.", day=day), where=name, remedy=say("Its wishes stand under Plan."))
    read = read_list(data, name, used, now.astimezone(queries.nursery().zone).date())
    check_dates(read, name)
    _check_settled(read, name, skip_not_understood)
    book = names_of_book()
    names = kept_names(read.wishes, used, book)
    new = _new(names, book)
    with transaction.atomic():
        for wish, called in zip(read.wishes, names, strict=True):
            save_noun(Wish, _values(wish, called, read.season, now, who), now=now, who=who)
        keep_accepted(data, name, KIND, now=now)
    left = tuple(sorted({problem.row for problem in read.not_understood}))
    wanted = sum(wish.number or 0 for wish in read.wishes)
    words = say(
        "{name}: {wishes} for {plants} taken in, growing year {season}.",
        name=name,
        wishes=plural(len(read.wishes), "wish", "wishes"),
        plants=plural(wanted, "plant"),
        season=read.season,
    )
    words += say(" {rows} left out.", rows=plural(len(left), "row")) if left else ""
    words += f" {added_words({'cultivar': new})}" if new else ""
    return WishResult(name, read.season, len(read.wishes), wanted, new, left, words)


def read_list(data: bytes, name: str, how: WishReading, today: date) -> ReadWishes:
    """Read a wish list; what is wrong in a row is kept with it, what is wrong in all of the file is refused."""
    check_size(data, name)
    try:
        table = read_table(data, name=name, sheet=how.sheet)
        known = list(Cultivar.objects.values_list("spoken", flat=True))
        listed = read_wishes(table, how.mapping, date_order=how.date_order, known_cultivars=known)
    except BadValue as error:
        raise Refused(f"{error}.", where=name, remedy=say("Choose again.")) from error
    if len(table.rows) > LIMITS["import_rows"]:
        raise BadFile(
            say("it has {rows} rows; at most {import_rows} are taken in one go.", rows=len(table.rows), import_rows=LIMITS["import_rows"]),
            where=name,
            remedy=say("Split it."),
        )
    counted = NUMBER in listed.mapping.values()
    problems = {wish.row: problem for wish in listed.rows if (problem := _problem(wish, counted))}
    wishes = [wish for wish in listed.rows if wish.row not in problems]
    season = how.season or year_at(today, queries.nursery())
    return ReadWishes(table, listed, wishes, [*listed.not_understood, *problems.values()], season)


def _problem(wish: WishRow, counted: bool) -> NotUnderstood | None:
    if wish.number == 0:
        return NotUnderstood(
            wish.row, NUMBER, "0", say("none of {cultivar} is wanted.", cultivar=wish.cultivar),
            say("Leave the row out, or write how many."),
        )  # fmt: skip
    if wish.number is None:
        remedy = say("Write a number.") if counted else say("Say which column holds it.")
        why = say("how many {cultivar} are wanted is not said.", cultivar=wish.cultivar)
        return NotUnderstood(wish.row, NUMBER, "", why, remedy)
    if wish.number > 100_000:
        return NotUnderstood(
            wish.row, "number", str(wish.number), say("more than 100,000 plants are wanted."), say("Write a smaller number.")
        )
    if len(wish.cultivar) > _LONGEST_NAME:
        why = say(
            "the cultivar's name has {length} characters; at most {longest_name} are kept.",
            length=len(wish.cultivar),
            longest_name=_LONGEST_NAME,
        )
        return NotUnderstood(wish.row, "cultivar", wish.cultivar[:80], why, say("Shorten it."))
    if wish.worth is not None and wish.worth >= 10_000_000:
        return NotUnderstood(
            wish.row, "worth", str(wish.worth), say("that price is too large to keep."), say("Write the price of one plant.")
        )
    return None


def check_dates(read: ReadWishes, name: str) -> None:
    """Refuse dates that can be read in two ways."""
    if read.found.date_orders:
        orders = either(read.found.date_orders)
        raise Refused(
            say("day and month of some dates cannot be told apart."),
            where=name,
            remedy=say("Say in which order they are written: {orders}.", orders=orders),
        )


def _check_settled(read: ReadWishes, name: str, skip_not_understood: bool) -> None:
    if read.not_understood and not skip_not_understood:
        first = read.not_understood[0]
        count = len({problem.row for problem in read.not_understood})
        where = say("{name}, row {row}", name=name, row=first.row) + (f", {first.column}" if first.column else "")
        raise Refused(
            first.why,
            where=where,
            remedy=say("{remedy} Or say that {rows} not understood may be left out.", remedy=first.remedy, rows=plural(count, "row")),
        )
    if not read.wishes:
        raise Refused(say("no row holds a wish."), where=name, remedy=say("Look at what each column holds."))


def _questions(read: ReadWishes) -> list[Question]:
    if not read.found.date_orders:
        return []
    choices = tuple((order, DATE_ORDER_WORDS.get(order, order)) for order in read.found.date_orders)
    return [Question("date_order", say("In which order are the dates of this file written?"), choices)]


def kept_names(wishes: list[WishRow], how: WishReading, book: NamesOfBook) -> list[str]:
    """The cultivar of each wish by the name it is kept under, as the person says where the file misspells it."""
    return [book.kept(_meant(wish, how)) for wish in wishes]


def _meant(wish: WishRow, how: WishReading) -> str:
    chosen = {written.casefold(): meant for written, meant in (how.cultivars or {}).items()}
    return chosen.get(wish.cultivar.casefold()) or wish.cultivar


def _new(names: list[str], book: NamesOfBook) -> tuple[str, ...]:
    return tuple(sorted({name for name in names if book.known(name) is None}))


def _values(wish: WishRow, called: str, season: int, now: datetime, who: str) -> dict[str, Any]:
    pot = PotKind.objects.filter(name__iexact=wish.size).first() if wish.size else None
    return {
        "cultivar": cultivar_called(called, now=now, who=who),
        "wanted": wish.number,
        "season": season,
        "by_when": by_when(wish),
        "pot_kind": pot,
        "assurance": wish.assurance or _ASSURANCE,
        "worth": None if wish.worth is None else f"{wish.worth:.2f}",
        "note": "; ".join(part for part in (wish.note, f"size: {wish.size}" if wish.size and pot is None else "") if part),
    }


def by_when(wish: WishRow) -> date | None:
    """The day by which it is wanted; a month or year counts to its last day."""
    if wish.by_when is not None and wish.precision == "month":
        return wish.by_when.replace(day=calendar.monthrange(wish.by_when.year, wish.by_when.month)[1])
    if wish.by_when is not None:
        return wish.by_when
    return date(wish.by_year, 12, 31) if wish.by_year and 1 <= wish.by_year <= 9999 else None


def _words(wish: WishRow, called: str) -> str:
    day = by_when(wish)
    perhaps = say(" Did you mean {name}?", name=wish.did_you_mean) if wish.did_you_mean and called == wish.cultivar else ""
    worth = say(", worth {worth:.2f} each", worth=wish.worth) if wish.worth is not None else ""
    sure = f", {how_sure(wish.assurance)}" if wish.assurance else ""
    until = say(" by {day}", day=day.isoformat()) if day else ""
    return f"{wish.number} {called}{until}{sure}{worth}.{perhaps}"


def _warnings(read: ReadWishes, names: list[str], today: date) -> list[str]:
    told = [*_uncounted_words(read), *sum_words(read), *late_words(read, today)]
    standing = Wish.objects.filter(season=read.season, retired=False).values_list("cultivar__spoken", flat=True)
    again = sorted(set(standing) & set(names))
    if again:
        told.append(
            say("There is a wish for {again} in {season} already; these come on top of it.", again=", ".join(again[:6]), season=read.season)
        )
    return told


def _uncounted_words(read: ReadWishes) -> list[str]:
    """That no column was read as the number wanted, where none was."""
    if NUMBER in read.found.mapping.values():
        return []
    return [say("No column is read as how many are wanted: say which one it is, under What the columns hold.")]


def sum_words(read: ReadWishes) -> list[str]:
    """Which rows are perhaps the sum of the others and no cultivar."""
    sums = [wish for wish in read.wishes if wish.cultivar.strip(" :").casefold() in _SUMS]
    return [
        say("Row {row}: if {name} is the sum of the rows and no cultivar, take that row out of the file.", row=wish.row, name=wish.cultivar)
        for wish in sums
    ]


def late_words(read: ReadWishes, today: date) -> list[str]:
    """Which rows want plants by a day that is past; none where none does."""
    late = [wish.row for wish in read.wishes if (day := by_when(wish)) is not None and day < today]
    if not late:
        return []
    more = say(" and {number} more", number=len(late) - 1) if late[1:] else ""
    return [say("Row {row}{more}: the day by which it is wanted is past.", row=late[0], more=more)]
