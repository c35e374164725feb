"""Taking a file of past records into the book, all or nothing, and taking it out again."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.answers.file_names import added_words
from scionary.answers.growing_year import year_at
from scionary.answers.offers import accepted_before, accepted_on, keep_accepted, offered
from scionary.answers.past_meaning import Choices, Meaning
from scionary.answers.past_preview import KIND, PastReading, Understood, understand
from scionary.answers.words import plural
from scionary.answers.works import LastStep, Progress, tell
from scionary.book import queries
from scionary.book.commands import cultivar_called, save_noun
from scionary.book.ids import uuid7
from scionary.book.leases import take_numbers
from scionary.book.locks import gate
from scionary.book.models import Cultivar, Event, EventSubject, Method, Noun, Plant, RawFile, RootstockLot, Tally
from scionary.book.patience import patiently
from scionary.book.record import NewEvent, record_events
from scionary.errors import Refused, UnknownSubject
from scionary.language import either, mark, say
from scionary.limits import LIMITS

UNDONE = "past undone"
_AT_ONCE = 400  # plants written in one go
_DAY_NOT_SAID = mark("the day of this look is not in the records")


@dataclass(frozen=True)
class ImportResult:
    """What came into the book from one file; `sha256` is its name for taking it out again."""

    sha256: str
    name: str
    plants: int
    counts: int
    grafts: int
    new_cultivars: tuple[str, ...]
    new_methods: tuple[str, ...]
    new_lots: tuple[str, ...]
    rows_left_out: tuple[int, ...]
    flags: tuple[str, ...]
    words: str

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True)
class UndoResult:
    """What was taken out again; cultivars, methods and lots stay, since other records may name them."""

    name: str
    plants: int
    counts: int
    words: str

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)


def accept_past(
    data: bytes,
    name: str,
    *,
    now: datetime,
    how: PastReading | None = None,
    skip_not_understood: bool = False,
    who: str = "",
    progress: Progress | None = None,
) -> ImportResult:
    """Take a file of past records into the book, all or nothing; rows not understood only stay behind when the person said so."""
    tell(progress, 0.05, say("reading the file"))
    read = _acceptable(data, name, how or PastReading(), skip_not_understood, now)
    tell(progress, 0.4, say("writing {rows}", rows=plural(len(read.taken), "row")))
    return _write(read, data, name, now=now, who=who)


def past_import(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    """The work "import past records". Arguments: sha256 of an offered file, how, skip_not_understood, who."""
    data, name = offered(arguments["sha256"])
    tell(progress, 0.05, say("reading the file"))
    read = _acceptable(data, name, reading_of(arguments.get("how", {})), bool(arguments.get("skip_not_understood")), now)
    tell(progress, 0.4, say("writing {rows}", rows=plural(len(read.taken), "row")))
    return lambda: _write(read, data, name, now=now, who=arguments.get("who", "")).to_dict()


def reading_of(plain: Mapping[str, Any]) -> PastReading:
    """A `PastReading` from plain values, as a job or a form holds them."""
    return PastReading(**{**plain, "choices": Choices(**plain.get("choices", {}))})


@patiently
def undo_import(sha256: str, *, now: datetime, who: str = "") -> UndoResult:
    """Take out again what a file brought in; refused once more was written about its plants."""
    with transaction.atomic():
        gate(alone=True)
        file = RawFile.objects.select_for_update().filter(pk=sha256, kind=KIND).defer("data").first()
        if file is None:
            raise UnknownSubject(
                say("no file of past records with this hash stands in the book."), where="import", remedy=say("Choose one that is listed.")
            )
        mark = _mark(sha256, file.received_at)
        events = list(Event.objects.filter(device=mark).values_list("id", "kind"))
        _check_untouched([ident for ident, kind in events if kind == "grafted"], mark)
        for chunk in _chunks([ident for ident, _ in events]):
            subjects = _subjects(chunk)
            corrections = [NewEvent("corrected", now, subjects[ident], {"target": str(ident)}, who=who) for ident in chunk]
            record_events(corrections, now=now)
        tallies = list(Tally.objects.filter(source__endswith=_file_mark(sha256), retired=False).values_list("id", flat=True))
        for tally in tallies:
            save_noun(Tally, {"retired": True}, now=now, pk=tally, who=who)
        RawFile.objects.filter(pk=sha256).update(kind=UNDONE)
    plants = sum(kind == "grafted" for _, kind in events)
    words = say(
        "{file}: {plants} and {counts} taken out again. Names that it brought in stay.",
        file=file.name,
        plants=plural(plants, "plant"),
        counts=plural(len(tallies), "count"),
    )
    return UndoResult(file.name, plants, len(tallies), words)


def _acceptable(data: bytes, name: str, how: PastReading, skip_not_understood: bool, now: datetime) -> Understood:
    """The file read, or a refusal that says what has to be settled first."""
    _check_new(data, name)
    read = understand(data, name, how, now=now)
    if read.records.date_orders:
        orders = either(read.records.date_orders)
        raise Refused(
            say("day and month of some dates cannot be told apart."),
            where=name,
            remedy=say("Say in which order they are written: {orders}.", orders=orders),
        )
    if read.not_understood and not skip_not_understood:
        first = read.not_understood[0]
        count = len({problem.row for problem in read.not_understood})
        where = say("{name}, row {row}", name=name, row=first.row) + (f", {first.column}" if first.column else "")
        remedy = say("{remedy} Or say that {rows} not understood may be left out.", remedy=first.remedy, rows=plural(count, "row")).strip()
        raise Refused(first.why, where=where, remedy=remedy)
    if not read.taken:
        raise Refused(say("no row holds grafts."), where=name, remedy=say("Look at what each column holds."))
    if len(read.taken) > LIMITS["import_rows"]:
        raise Refused(
            say("{taken} rows at once.", taken=len(read.taken)),
            where=name,
            remedy=say("Split the file; at most {import_rows} are taken in one go.", import_rows=LIMITS["import_rows"]),
        )
    return read


def _check_new(data: bytes, name: str) -> None:
    before = accepted_before(data, KIND)
    if before is not None:
        remedy = say("Its rows are in the book; undo that import first to read it in another way.")
        raise Refused(say("this very file was taken in on {day}.", day=accepted_on(before)), where=name, remedy=remedy)


@patiently
def _write(read: Understood, data: bytes, name: str, *, now: datetime, who: str) -> ImportResult:
    digest = hashlib.sha256(data).hexdigest()
    before = {model: _names_of(model) for model in (Cultivar, Method, RootstockLot)}
    plants = [meaning for meaning in read.taken if meaning.is_plant]
    counts = [meaning for meaning in read.taken if not meaning.is_plant]
    with transaction.atomic():
        _check_new(data, name)
        nouns = _Nouns(read.taken, now, who)
        flags = _write_plants(plants, nouns, name, _mark(digest, now), now=now, who=who)
        _write_counts(counts, nouns, name, _file_mark(digest), now=now, who=who)
        keep_accepted(data, name, KIND, now=now)
    left = tuple(sorted({problem.row for problem in read.not_understood}))
    grafts = sum(meaning.row.grafts for meaning in read.taken)
    new = {model: tuple(sorted(_names_of(model) - names)) for model, names in before.items()}
    words = say(
        "{name}: {grafts} taken in as {plants} and {counts}.",
        name=name,
        grafts=plural(grafts, "graft"),
        plants=plural(len(plants), "plant"),
        counts=plural(len(counts), "count"),
    )
    words += say(" {rows} left out{in_part}.", rows=plural(len(left), "row"), in_part=_in_part(read, left)) if left else ""
    added = added_words({"cultivar": new[Cultivar], "method": new[Method], "lot": new[RootstockLot]})
    words += f" {added}" if added else ""
    return ImportResult(
        digest, name, len(plants), len(counts), grafts, new[Cultivar], new[Method], new[RootstockLot], left, tuple(sorted(flags)), words
    )


def _in_part(read: Understood, left: Sequence[int]) -> str:
    """In a table with columns by year, a row may be understood for one year and not for another."""
    return say(", whole or in part") if {meaning.row.row for meaning in read.taken} & set(left) else ""


class _Nouns:
    """Cultivars, methods and lots by their names, made where the book lacks them."""

    def __init__(self, taken: Sequence[Meaning], now: datetime, who: str) -> None:
        self.cultivars = {key: cultivar_called(name, now=now, who=who) for key, name in _spelled(m.cultivar for m in taken).items()}
        self.methods = {key: _called(Method, name, now, who) for key, name in _spelled(m.method for m in taken).items()}
        self.lots = {key: _called(RootstockLot, name, now, who) for key, name in _spelled(m.lot for m in taken).items()}

    def payload(self, meaning: Meaning) -> dict[str, Any]:
        """References of a graft to its nouns."""
        payload: dict[str, Any] = {"cultivar": str(self.cultivars[meaning.cultivar.casefold()].pk)}
        payload |= {"method": str(self.methods[meaning.method.casefold()].pk)} if meaning.method else {}
        return payload | ({"lot": str(self.lots[meaning.lot.casefold()].pk)} if meaning.lot else {})


def _spelled(names: Iterable[str]) -> dict[str, str]:
    """Each name once, whatever its case, as it is spelt first."""
    found: dict[str, str] = {}
    for name in names:
        if name:
            found.setdefault(name.casefold(), name)
    return found


def _called(model: type[Method] | type[RootstockLot], name: str, now: datetime, who: str) -> Method | RootstockLot:
    found = model._default_manager.filter(name__iexact=name).first()
    return found or save_noun(model, {"name": name}, now=now, who=who)


def _names_of(model: type[Noun]) -> set[str]:
    return {str(row) for row in model._default_manager.all()}


def _write_plants(plants: Sequence[Meaning], nouns: _Nouns, name: str, mark: str, *, now: datetime, who: str) -> set[str]:
    """A plant a row: grafted, its looks, and lost where the last look says so; gives what was flagged."""
    flags: set[str] = set()
    numbers = take_numbers("", len(plants), now=now) if plants else []
    running = _running_numbers(plants, nouns)
    for chunk in _chunks(list(zip(plants, numbers, running, strict=True))):
        events = []
        for meaning, number, said in chunk:
            events += _plant_events(meaning, nouns.payload(meaning) | {"code_number": number, "running_number": said}, name, mark, who)
        for answer in record_events(events, now=now):
            flags |= set(answer.flags)
    return flags


def _running_numbers(plants: Sequence[Meaning], nouns: _Nouns) -> list[int]:
    """The number on the old label where it is still free for that cultivar, else the next one."""
    wanted = {str(nouns.cultivars[m.cultivar.casefold()].pk) for m in plants}
    used: dict[str, set[int]] = {ident: set() for ident in wanted}
    for ident, number in Plant.objects.exclude(running_number=None).values_list("cultivar_id", "running_number"):
        used.setdefault(str(ident), set()).add(number or 0)
    labelled: list[int | None] = []
    for meaning in plants:
        taken = used[str(nouns.cultivars[meaning.cultivar.casefold()].pk)]
        free = meaning.running is not None and meaning.running not in taken
        labelled.append(meaning.running if free else None)
        taken |= {meaning.running} if free and meaning.running else set()
    result = []
    for meaning, number in zip(plants, labelled, strict=True):
        taken = used[str(nouns.cultivars[meaning.cultivar.casefold()].pk)]
        said = number or max(taken, default=0) + 1
        taken.add(said)
        result.append(said)
    return result


def _plant_events(meaning: Meaning, payload: dict[str, Any], name: str, mark: str, who: str) -> list[NewEvent]:
    if meaning.grafted_at is None:
        return []
    subject = (f"plant:{uuid7()}",)
    note = "; ".join(part for part in (meaning.note[:1500], f"from {name[:120]}, row {meaning.row.row}") if part)
    payload = payload | {"precision": meaning.precision, "stands": meaning.row.place[:120], "note": note}
    events = [NewEvent("grafted", meaning.grafted_at, subject, payload, who=who, device=mark)]
    for sign in meaning.signs:
        scored = {"sign": sign.stage, "answer": sign.answer, "note": _DAY_NOT_SAID}
        events.append(NewEvent("scored", sign.at, subject, scored, who=who, device=mark))
    if meaning.lost_at is not None:
        events.append(NewEvent("lost", meaning.lost_at, subject, {"note": _DAY_NOT_SAID}, who=who, device=mark))
    return events


def _write_counts(counts: Sequence[Meaning], nouns: _Nouns, name: str, mark: str, *, now: datetime, who: str) -> None:
    nursery = queries.nursery()
    for meaning in counts:
        row = meaning.row
        values = {
            "cultivar": nouns.cultivars[meaning.cultivar.casefold()],
            "season": year_at(row.date, nursery) if row.date else row.season,
            "grafted_on": row.date if row.precision == "day" else None,
            "method": nouns.methods.get(meaning.method.casefold()),
            "lot": nouns.lots.get(meaning.lot.casefold()),
            "grafts": row.grafts,
            "note": meaning.note,
            "source": f"{name[:100]}, row {row.row} {mark}",  # `past_again` reads the file's name out of it
        }
        for stage, takes in meaning.counts:
            save_noun(Tally, values | {"stage": stage, "takes": takes}, now=now, who=who)


def _mark(digest: str, accepted_at: datetime) -> str:
    """What the events of one import carry as their device, so that they can be found again."""
    return f"import {digest[:16]} {accepted_at:%Y%m%d%H%M%S%f}"


def _file_mark(digest: str) -> str:
    return f"(file {digest[:16]})"


def _check_untouched(grafted: Sequence[UUID], mark: str) -> None:
    """Refuse when anything else was written about the plants of an import since."""
    for chunk in _chunks(list(grafted)):
        plants = EventSubject.objects.filter(event_id__in=chunk, subject__key__startswith="plant:").values("subject_id")
        since = EventSubject.objects.filter(subject_id__in=plants).exclude(event__device=mark).exclude(event__kind="edited")
        others = since.values("subject_id").distinct().count()
        if others:
            message = say("about {plants} of this file more was written since.", plants=plural(others, "plant"))
            raise Refused(message, where="import", remedy=say("Correct these plants one by one, from their stories."))


def _subjects(events: Sequence[UUID]) -> dict[UUID, tuple[str, ...]]:
    found: dict[UUID, tuple[str, ...]] = {}
    for event, subject in EventSubject.objects.filter(event_id__in=events).values_list("event_id", "subject_id"):
        found[event] = (*found.get(event, ()), subject)
    return found


def _chunks(values: Sequence[Any]) -> list[Sequence[Any]]:
    return [values[start : start + _AT_ONCE] for start in range(0, len(values), _AT_ONCE)]
