"""Labels from the book's plants: the name that is said first, the botanical name, the code with its symbol, what was done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from uuid import UUID

from scionary.answers.full_name import full_name
from scionary.answers.label_sheets import sheet_called
from scionary.book import queries
from scionary.book.models import Graft, Nursery, Plant
from scionary.errors import Refused, UnknownSubject
from scionary.files.grids import SheetGrid
from scionary.files.labels import LabelText, label_sheet, label_warnings
from scionary.language import Words, mark, say
from scionary.limits import LIMITS
from scionary.names import BotanicalName, code_of

CODE_PENDING = mark("code pending")
SYMBOL_WORDS = Words({"qr": mark("QR"), "datamatrix": mark("Data Matrix, smaller")})
MOST_COPIES = 4


@dataclass(frozen=True)
class LabelSheets:
    """The printed sheets as PDF, and what a person should know before printing."""

    pdf: bytes
    count: int
    warnings: tuple[str, ...]


def usual_preset(nursery: Nursery) -> str:
    """The label sheet that goes with the nursery's paper."""
    return "letter-30" if nursery.paper == "letter" else "a4-24"


def plants_to_label(idents: Sequence[UUID]) -> list[Plant]:
    """The plants with these ids, in this order; one that the book does not hold is refused."""
    _check_count(len(idents))
    found = {plant.id: plant for plant in queries.plants().filter(pk__in=idents)}
    missing = [ident for ident in idents if ident not in found]
    if missing:
        raise UnknownSubject(
            say("the book holds no plant with the id {missing}.", missing=missing[0]),
            where="labels",
            remedy=say("Choose plants that are listed."),
        )
    return [found[ident] for ident in idents]


def latest_day(nursery: Nursery) -> date | None:
    """The calendar day at the nursery on which the latest graft was made; None before the first."""
    latest = Graft.objects.order_by("-grafted_at").values_list("grafted_at", flat=True).first()
    return latest.astimezone(nursery.zone).date() if latest else None


def plants_grafted_on(day: date, nursery: Nursery) -> list[Plant]:
    """All plants that were grafted on a calendar day at the nursery, in the order in which they got their codes."""
    begin, end = (datetime.combine(each, time(), nursery.zone) for each in (day, day + timedelta(days=1)))
    made = Graft.objects.filter(grafted_at__gte=begin, grafted_at__lt=end).values("plant_id")
    return list(queries.plants().filter(pk__in=made).order_by("code_number", "id"))


def label_texts(plants: Sequence[Plant], nursery: Nursery) -> list[LabelText]:
    """What the label of each plant says."""
    return [_text(plant, nursery) for plant in plants]


def labels_pdf(
    plants: Sequence[Plant],
    *,
    nursery: Nursery,
    preset: str = "",
    grid: SheetGrid | None = None,
    start_at: int = 0,
    outlines: bool = False,
    symbol: str = "qr",
    copies: int = 1,
) -> LabelSheets:
    """Print labels on a named sheet, or on one measured by the person; `start_at` counts the places already used, from 0.

    With `copies` each label is printed so many times, one beside the other: one to hang, one to bury in the pot. The code is carried
    by a `symbol`, ``qr`` or ``datamatrix``.
    """
    sheet = grid or sheet_called(preset or usual_preset(nursery))
    check_print(len(plants), sheet, start_at=start_at, symbol=symbol, copies=copies)
    texts = label_texts(plants, nursery)
    warnings = label_warnings(texts, sheet)
    pending = [plant.spoken for plant in plants if plant.code_number is None]
    if pending:
        warnings.insert(
            0,
            say(
                "{pending}: no code yet; the label says so. Print it again once the device has new numbers.", pending=", ".join(pending[:5])
            ),
        )
    printed = [text for text in texts for _ in range(copies)]
    return LabelSheets(label_sheet(printed, sheet, start_at=start_at, outlines=outlines, symbol=symbol), len(printed), tuple(warnings))


def check_print(count: int, sheet: SheetGrid, *, start_at: int, symbol: str, copies: int) -> None:
    """Refuse what cannot be printed."""
    if symbol not in SYMBOL_WORDS:
        raise Refused(
            say("no symbol is called {symbol!r}.", symbol=symbol[:20]),
            where="symbol",
            remedy=say("Symbols: {symbols}.", symbols=", ".join(SYMBOL_WORDS)),
        )
    if not 1 <= copies <= MOST_COPIES:
        raise Refused(
            say("{copies} of each label.", copies=copies),
            where="copies",
            remedy=say("Give a number from 1 to {most_copies}.", most_copies=MOST_COPIES),
        )
    _check_count(count * copies)
    if not 0 <= start_at < sheet.count:
        remedy = say("Give a place from 1 to {count}.", count=sheet.count)
        raise Refused(say("the sheet has no place {place}.", place=start_at + 1), where=say("first label"), remedy=remedy)


def _check_count(count: int) -> None:
    if count < 1:
        raise Refused(say("no plant is chosen."), where="labels", remedy=say("Choose at least one."))
    if count > LIMITS["label_count"]:
        raise Refused(
            say("{count} labels at once.", count=count),
            where="labels",
            remedy=say("Print at most {label_count} in one go.", label_count=LIMITS["label_count"]),
        )


def _text(plant: Plant, nursery: Nursery) -> LabelText:
    """A name that was only inferred says so instead of method and stock lot, which are no surer than it."""
    graft = _last_graft(plant)
    botanical = _in_print(plant)
    return LabelText(
        said=plant.spoken,
        code=code_of(plant.code_number) if plant.code_number is not None else "",
        name_runs=botanical.runs if botanical else (),
        date=" ".join(part for part in (_day(graft, nursery), "" if plant.code_number is not None else say(CODE_PENDING)) if part),
        method=graft.method.name if graft and graft.method and not plant.name_caution else "",
        stock_lot=plant.name_caution or (say("stock {name}", name=graft.lot.name) if graft and graft.lot else ""),
        trade=botanical.trade_designation if botanical else "",
        beside=", ".join(plant.cautions),
    )


def _in_print(plant: Plant) -> BotanicalName | None:
    """The full name; its trade designation in capitals, which print in a typeface of their own and never in quotes."""
    name = full_name(plant.cultivar)
    return replace(name, trade_designation=name.trade_designation.upper()) if name else None


def _last_graft(plant: Plant) -> Graft | None:
    grafts = list(plant.grafts.all())
    return grafts[-1] if grafts else None


def _day(graft: Graft | None, nursery: Nursery) -> str:
    """The day of grafting, written as exactly as it is known."""
    if graft is None:
        return ""
    whole = graft.grafted_at.astimezone(nursery.zone).date().isoformat()
    return {"month": whole[:7], "year": whole[:4]}.get(graft.precision, whole)
