"""A look at a file of past records before anything is written: what each row becomes, and what has to be said first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime
from itertools import pairwise
from typing import Any

from scionary.answers.called import all_kept_as_words
from scionary.answers.file_names import NamePreview, names_used, new_names_words
from scionary.answers.offers import accepted_before, accepted_on, check_size
from scionary.answers.past_again import held_already
from scionary.answers.past_meaning import NOT_SAID, Choices, Meaning, meanings, stage_decides
from scionary.answers.rates import STAGES
from scionary.answers.words import plural
from scionary.book import queries
from scionary.book.called import NamesOfBook, names_of_book
from scionary.book.models import Cultivar, Method, RootstockLot
from scionary.errors import BadValue, Refused
from scionary.files.past_records import NotUnderstood, PastRecords, read_past_records
from scionary.files.spreadsheets import Table, read_table
from scionary.language import Words, mark, say, several

KIND = "past"
DATE_ORDER_WORDS = Words({"dmy": mark("day, month, year"), "mdy": mark("month, day, year"), "ymd": mark("year, month, day")})


@dataclass(frozen=True)
class PastReading:
    """How a person wants a file of past records read; what is left open is guessed where that is safe, and asked for where not."""

    mapping: Mapping[str, str] | None = None
    date_order: str | None = None
    stage: str | None = None
    sheet: str | None = None
    choices: Choices = field(default_factory=Choices)
    as_counts: bool = False


@dataclass(frozen=True)
class RowPreview:
    """One row of the file: it becomes a "plant", a "count", "nothing" (such as a total), or it is "not understood"."""

    row: int
    becomes: str
    words: str
    column: str = ""
    text: str = ""
    remedy: str = ""


@dataclass(frozen=True)
class Question:
    """Something that only the person can say: which argument answers it, the question, the choices, and whether it must be said."""

    argument: str
    words: str
    choices: tuple[tuple[str, str], ...]
    needed: bool = True  # nothing is taken in before it is answered


@dataclass(frozen=True)
class ImportPreview:
    """What a file would bring into the book; nothing is written."""

    name: str
    rows: tuple[RowPreview, ...]
    plants: int
    counts: int
    grafts: int
    not_understood: int
    left_out: int
    headers: tuple[str, ...]
    mapping: dict[str, str]
    sheet: str
    sheets: tuple[str, ...]
    questions: tuple[Question, ...]
    cultivars: tuple[NamePreview, ...]
    methods: tuple[NamePreview, ...]
    lots: tuple[NamePreview, ...]
    warnings: tuple[str, ...]
    read_before: str
    words: str
    reasons: tuple[str, ...] = ()

    @property
    def new_names(self) -> str:
        return new_names_words({"cultivar": self.cultivars, "method": self.methods, "lot": self.lots})

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True)
class Understood:
    """A file read and weighed: what its rows become, and everything that stands in the way."""

    table: Table
    records: PastRecords
    taken: list[Meaning]
    not_understood: list[NotUnderstood]


def understand(data: bytes, name: str, how: PastReading, *, now: datetime) -> Understood:
    """Read a file of past records against the names that the book knows; raises `Refused` with its place."""
    check_size(data, name)
    try:
        table = read_table(data, name=name, sheet=how.sheet)
        known = list(Cultivar.objects.values_list("spoken", flat=True))
        records = read_past_records(table, how.mapping, date_order=how.date_order, known_cultivars=known)
    except BadValue as error:
        raise Refused(f"{error}.", where=name, remedy=say("Choose again.")) from error
    choices = _as_kept(records, how.choices, names_of_book())
    taken, refused = meanings(records.rows, stage=how.stage, choices=choices, as_counts=how.as_counts, nursery=queries.nursery(), now=now)
    return Understood(table, records, taken, [*records.not_understood, *refused])


def _as_kept(records: PastRecords, choices: Choices, book: NamesOfBook) -> Choices:
    """What the person says of names, and beside that the other names that the book knows by themselves."""
    meant = {row.cultivar: book.kept(choices.cultivar(row.cultivar)) for row in records.rows}
    return replace(choices, cultivars={**choices.cultivars, **meant})


def preview_past(data: bytes, name: str, *, now: datetime, how: PastReading | None = None) -> ImportPreview:
    """What a file of past records would become in the book; nothing is written."""
    read = understand(data, name, how or PastReading(), now=now)
    taken, records = read.taken, read.records
    plants = sum(meaning.is_plant for meaning in taken)
    grafts = sum(meaning.row.grafts for meaning in taken)
    before = accepted_before(data, KIND)
    bad_rows = len({problem.row for problem in read.not_understood})
    words = say(
        "{rows} with {grafts}: {plants}, {counts}.",
        rows=plural(len(taken), "row"),
        grafts=plural(grafts, "graft"),
        plants=plural(plants, "plant"),
        counts=plural(len(taken) - plants, "count"),
    )
    words += say(" {rows} not understood.", rows=plural(bad_rows, "row")) if bad_rows else ""
    return ImportPreview(
        name=name,
        rows=tuple(_rows(read)),
        plants=plants,
        counts=len(taken) - plants,
        grafts=grafts,
        not_understood=bad_rows,
        left_out=len(records.left_out),
        headers=read.table.headers,
        mapping=dict(records.mapping),
        sheet=read.table.sheet or "",
        sheets=read.table.sheets,
        questions=tuple(_questions(read, how or PastReading())),
        cultivars=names_used(((m.cultivar, m.row.grafts) for m in taken), Cultivar.objects.values_list("spoken", flat=True)),
        methods=names_used(((m.method, m.row.grafts) for m in taken), Method.objects.values_list("name", flat=True), parts=True),
        lots=names_used(((m.lot, m.row.grafts) for m in taken), RootstockLot.objects.values_list("name", flat=True), parts=True),
        warnings=(*_other_names(taken, how or PastReading()), *held_already(taken, queries.nursery()), *_warnings(taken, now)),
        read_before=accepted_on(before) if before else "",
        words=words,
        reasons=tuple(_reasons(taken)),
    )


def _other_names(taken: Iterable[Meaning], how: PastReading) -> list[str]:
    return all_kept_as_words((how.choices.cultivar(meaning.row.cultivar) for meaning in taken), names_of_book())


def _reasons(taken: Iterable[Meaning]) -> list[str]:
    """Why rows become what they become: one line a reason, the commonest first."""
    counted = Counter((meaning.is_plant, meaning.why) for meaning in taken)
    return [
        f"{plural(n, 'row')} → {say('plants of their own') if plant else say('counts')}: {say(why)}."
        for (plant, why), n in counted.most_common()
    ]


def _rows(read: Understood) -> list[RowPreview]:
    """Every row in the order of the file; a row of a wide table may become several things."""
    rows = [RowPreview(m.row.row, say("plant") if m.is_plant else say("count"), m.words) for m in read.taken]
    rows += [RowPreview(p.row, say("not understood"), p.why, p.column, p.text, p.remedy) for p in read.not_understood]
    rows += [RowPreview(p.row, say("nothing"), p.why, p.column, p.text, p.remedy) for p in read.records.left_out]
    return sorted(rows, key=lambda row: row.row)


def _questions(read: Understood, how: PastReading) -> list[Question]:
    """The stage first where it changes what rows become."""
    found = []
    if read.records.date_orders:
        choices = tuple((order, DATE_ORDER_WORDS.get(order, order)) for order in read.records.date_orders)
        found.append(Question("date_order", say("In which order are the dates of this file written?"), choices))
    if not how.stage and any(look.stage is None and look.takes is not None for m in read.taken for look in m.row.looks):
        choices = (*STAGES.items(), (NOT_SAID, say("the file does not say")))
        single = sum(stage_decides(meaning, as_counts=how.as_counts) for meaning in read.taken)
        more = (
            several(
                single,
                " Once it is said, {count} row of one graft becomes plants of their own.",
                " Once it is said, {count} rows of one graft become plants of their own.",
            )
            if single
            else ""
        )
        asked = Question("stage", say("At which stage were the takes counted?{more}", more=more), choices, needed=bool(single))
        found.insert(0 if single else len(found), asked)
    return found


def _warnings(taken: list[Meaning], now: datetime) -> list[str]:
    """What is taken as it stands and should be looked at."""
    told, today = [], now.astimezone(queries.nursery().zone).date()
    ahead = [m.row.row for m in taken if (m.grafted_at and m.grafted_at > now) or (m.row.date and m.row.date > today)]
    if ahead:
        one = mark("Row {row} has a date in the future; it is written as it stands.")
        told.append(
            _of_rows(ahead, one, mark("{rows} rows, the first of them {row}, have a date in the future; it is written as it stands."))
        )
    more = [m.row.row for m in taken if _later_has_more(m)]
    if more:
        one = mark("Row {row} has more takes at a later stage than at an earlier one.")
        told.append(
            _of_rows(more, one, mark("{rows} rows, the first of them {row}, have more takes at a later stage than at an earlier one."))
        )
    return told


def _of_rows(rows: list[int], one: str, more: str) -> str:
    return say(one if len(rows) == 1 else more, rows=len(rows), row=rows[0])


def _later_has_more(meaning: Meaning) -> bool:
    by_stage = dict(meaning.counts)
    takes = [count for stage in STAGES if (count := by_stage.get(stage)) is not None]
    return any(later > earlier for earlier, later in pairwise(takes))
