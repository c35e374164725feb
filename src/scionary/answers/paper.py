"""Printed sheets that can be keyed back: each is kept with its own code and all that it shows, and drawn again from that.

What a box or a vent means is kept as its id beside its English text, which is said in the language of whoever looks at it; what was made
up of facts when the sheet was printed, such as its dates, is kept as it stands on the paper.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.translation import get_language

from scionary.answers.after_care import CareStep, due_steps
from scionary.answers.bench import bench_called
from scionary.answers.dome_card import card_text
from scionary.answers.domes import DomeAnswer, dome_answer
from scionary.answers.paper_drawn import drawn
from scionary.answers.words import weekday_words
from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.leafless import has_stalk
from scionary.book.leases import AHEAD, take_numbers
from scionary.book.models import BenchDay, Dome, Plant, PrintedSheet
from scionary.book.patience import patiently
from scionary.errors import BadValue, Refused, UnknownSubject
from scionary.files.bench_sheet import BenchSheetText
from scionary.files.round_sheet import RoundDome, RoundRow, RoundSheetText
from scionary.language import mark, say, several
from scionary.names import code_of
from scionary.names.sheet_codes import SHEETS, read_sheet_code, sheet_code_of, sheet_grouped

MOST_DOMES, MOST_GRAFTS = 20, 100
BOXES = (
    ("drops", mark("Stalk drops")),
    ("stays", mark("Stalk stays")),
    ("bud", mark("Bud moving")),
    ("in-leaf", mark("In leaf")),
    ("firm", mark("Firm")),
    ("unsure", mark("Not sure")),
    ("wilting", mark("Wilting")),
    ("mould", mark("Mould")),
    ("unchanged", mark("Unchanged")),
    ("lost", mark("Lost")),
)
CARD_BOXES = ("firm", "unsure", "lost")  # in the order of the card's own words
WHOLE = (("water", mark("Water topped up")), ("stalks", mark("Fallen stalks picked out")), ("rest", mark("All others unchanged")))
VENTS = ((0, mark("closed")), (33, mark("a third")), (50, mark("half")), (67, mark("two thirds")), (100, mark("open")))
ROUND_CAUTION = mark(
    "standing water drowns roots: keep pots on a raised grid. Heated mats and misting only on a "
    "residual-current circuit. A treatment's label is the law where it is sold."
)
BENCH_CAUTION = mark(
    "cut away from hand and body, with a guard or a cut-resistant glove; stop when tired or cold. Alcohol burns: no flame or heater near."
)
_STALKS = ("drops", "stays")


def print_dome_card(dome: UUID, *, today: date, now: datetime, who: str = "") -> PrintedSheet:
    """Keep the card of a dome as it is printed now."""
    answer = dome_answer(dome, today=today)
    text = card_text(answer, paper=queries.nursery().paper, today=today)
    standing = [pot for pot in answer.pots if pot.plant]
    placed = [pot for pot in standing if pot.x_mm >= 0] + [pot for pot in standing if pot.x_mm < 0]
    layout = {
        "plants": [str(pot.plant.pk) for pot in placed if pot.plant],
        "boxes": list(CARD_BOXES),
        "domes": [str(dome)],
        "dates": _dates(answer, today),
    }
    return _keep("dome_card", layout, asdict(text), where=answer.dome.name, dome=answer.dome, now=now, who=who)


def print_round(domes: Sequence[UUID], *, today: date, now: datetime, who: str = "") -> PrintedSheet:
    """Keep a round sheet of one or several domes, as it is printed now; domes in which nothing is to be looked at are left out."""
    if not 1 <= len(domes) <= MOST_DOMES:
        raise Refused(
            several(len(domes), "{count} dome.", "{count} domes."),
            where="domes",
            remedy=say("Tick 1 to {most_domes}.", most_domes=MOST_DOMES),
        )
    found = Dome.objects.in_bulk(list(domes))
    missing = next((ident for ident in domes if ident not in found), None)
    if missing is not None:
        raise UnknownSubject(say("the book holds no such dome."), where="dome", remedy=say("Choose one that is listed under Domes."))
    listed = [(found[ident], _looked_at(found[ident])) for ident in dict.fromkeys(domes)]
    listed = [(dome, plants) for dome, plants in listed if plants]
    if not listed:
        raise Refused(say("nothing stands in it that has to be looked at."), where=found[domes[0]].name, remedy=say("Choose another dome."))
    walked = [RoundDome(dome.name, dome.stands, [_round_row(plant) for plant in plants]) for dome, plants in listed]
    lacking = set.intersection(*(set(row.without) for dome in walked for row in dome.rows))  # by every graft: no column for it
    text = RoundSheetText(
        code="",
        domes=walked,
        boxes=tuple(box for box in BOXES if box[0] not in lacking),
        whole=tuple(each for each in WHOLE if each[0] != "stalks" or not set(_STALKS) <= lacking),
        vents=VENTS,
        caution=ROUND_CAUTION,
        printed=weekday_words(today),
        page=queries.nursery().paper,
    )
    layout = {"plants": [str(plant.pk) for _, plants in listed for plant in plants], "domes": [str(dome.pk) for dome, _ in listed]}
    only = listed[0][0] if len(listed) == 1 else None
    return _keep("round", layout, asdict(text), where=listed[0][0].name, dome=only, now=now, who=who)


@patiently
def print_bench(bench: UUID, grafts: int, *, today: date, now: datetime, who: str = "") -> PrintedSheet:
    """Keep a bench sheet with so many codes set aside for the grafts that will be made."""
    if not 1 <= grafts <= MOST_GRAFTS:
        raise Refused(
            several(grafts, "{count} row.", "{count} rows."),
            where="rows",
            remedy=say("Give 1 to {most_grafts}; print a second sheet for more.", most_grafts=MOST_GRAFTS),
        )
    found, nursery = bench_called(bench), queries.nursery()
    if found.cultivar is None:
        raise Refused(say("no cultivar is set for this bench day."), where="cultivar", remedy=say("Change the bench and name it."))
    with transaction.atomic():
        numbers = take_numbers(AHEAD, grafts, now=now)
        text = BenchSheetText(
            code="",
            title=say("Bench: {cultivar}", cultivar=found.cultivar),
            beside=bench_setting_words(found),
            codes=[code_of(number) for number in numbers],
            unit=nursery.length_unit,
            caution=BENCH_CAUTION,
            printed=weekday_words(today),
            page=nursery.paper,
            cuts=True,
        )
        held = {"numbers": numbers, "setting": setting_of(found)}
        return _keep("bench", held, asdict(text), where="bench", bench=found, now=now, who=who)


def setting_of(bench: BenchDay) -> dict[str, str]:
    """What the bench is set for, as its sheet keeps it: changed later, the grafts on the paper were still made like this."""
    values = {field: getattr(bench, f"{field}_id") for field in ("cultivar", "method", "lot", "tree", "bag", "dome", "pot_kind")}
    return {field: str(value) for field, value in values.items() if value} | ({"grafter": bench.grafter} if bench.grafter else {})


def sheet_called(typed: str) -> PrintedSheet:
    """The sheet of a code, as typed from the paper or read from its symbol."""
    try:
        code = read_sheet_code(typed[:60])
    except BadValue as error:
        remedy = say("It stands at the edge of the sheet: S and five characters. Type it again.")
        raise Refused(say("{typed!r} is no code of a sheet.", typed=typed[:40]), where="code", remedy=remedy) from error
    found = PrintedSheet.objects.select_related("dome", "bench__cultivar", "bench__dome").filter(code=code).first()
    if found is None:
        remedy = say("Is it from another book, or printed after the backup that this book was filled from?")
        raise UnknownSubject(
            say("this book printed no sheet with the code {sheet_grouped}.", sheet_grouped=sheet_grouped(code)), where="code", remedy=remedy
        )
    return found


def printed_lately(most: int = 30) -> list[PrintedSheet]:
    return list(PrintedSheet.objects.filter(retired=False).select_related("dome", "bench__cultivar").order_by("-printed_at", "-id")[:most])


def bench_setting_words(bench: BenchDay) -> str:
    """How a bench is set, in one line."""
    lot, dome = say("stock lot {lot}", lot=bench.lot) if bench.lot else "", say("into {dome}", dome=bench.dome) if bench.dome else ""
    tree = say("from {tree}", tree=bench.tree) if bench.tree else ""
    return " · ".join(part for part in (weekday_words(bench.day), str(bench.method or ""), tree, lot, dome, bench.grafter) if part)


@patiently
def _keep(kind: str, layout: Mapping[str, Any], text: dict[str, Any], *, where: str, now: datetime, who: str, **about: Any) -> PrintedSheet:
    """Keep the sheet under a code of its own; one that cannot be drawn is refused and not kept."""
    with transaction.atomic():
        code = _free_code()
        whole = {**layout, "language": get_language(), "text": {**text, "code": code}}
        try:
            drawn(kind, whole)
        except BadValue as error:
            raise Refused(
                say("this sheet cannot be drawn: {error}.", error=error), where=where, remedy=say("Look at what stands there.")
            ) from error
        return save_noun(PrintedSheet, {"kind": kind, "code": code, "printed_at": now, "layout": whole, **about}, now=now, who=who)


def _free_code() -> str:
    """A code that no sheet of this book has; drawn by lot, so that a sheet of another book is seldom taken for one of this."""
    while True:
        code = sheet_code_of(secrets.randbelow(SHEETS))
        if not PrintedSheet.objects.filter(code=code).exists():
            return code


def _looked_at(dome: Dome) -> list[Plant]:
    return [plant for plant in queries.plants_in(dome) if plant.state in (*queries.STANDING, Plant.State.MISSING)]


def _round_row(plant: Plant) -> RoundRow:
    last = next(iter(reversed(list(plant.grafts.all()))), None)
    return RoundRow(plant.spoken, plant.place or 0, ", ".join(plant.cautions), () if has_stalk(last) else _STALKS)


def _dates(answer: DomeAnswer, today: date) -> list[dict[str, Any]]:
    """For each line of dates on the card the day, and what is written when its box is ticked; in the card's own order."""
    late = [step for step in due_steps(answer.steps, today) if step.when < today]
    coming = [step for step in answer.dates(today) if not step.done]
    steps = sorted([*late, *coming], key=lambda step: step.when)
    return [
        {"day": day.isoformat(), "done": [_done(step) for step in steps if step.when == day and step.step != "firm"]}
        for day in dict.fromkeys(step.when for step in steps)
    ]


def _done(step: CareStep) -> list[Any]:
    """What a step becomes when it is done: the kind of record, and what it holds."""
    if step.step == "vent":
        return ["vented", {"open_pct": step.open_pct or 0.0}]
    return ["watered" if step.step == "water" else "observed", {}]
