"""The rows of a kept sheet as the paper has them, and what has become of each since it was printed."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from scionary.book.locks import chunks
from scionary.book.models import Event, Plant, PrintedSheet
from scionary.language import say
from scionary.names import code_of, grouped


@dataclass(frozen=True)
class SheetRow:
    """One row, or one pot of a tray; `boxes` are (answer, word in the reader's language), a box without one is not on the paper."""

    number: int
    said: str
    boxes: tuple[tuple[str, str], ...] = ()
    plant: UUID | None = None
    dome: int = 0
    place: int = 0
    beside: str = ""
    code: int | None = None

    @property
    def where(self) -> str:
        """The row as a refusal names it."""
        return say("row {number}, {said}", number=self.number, said=self.said)

    @property
    def code_words(self) -> str:
        return grouped(code_of(self.code)) if self.code is not None else ""


def rows_of(sheet: PrintedSheet) -> list[SheetRow]:
    """The rows in the order of the paper, counted from 1."""
    layout, text = sheet.layout, sheet.layout["text"]
    if sheet.kind == PrintedSheet.Kind.BENCH:
        return [SheetRow(at, grouped(code_of(number)), code=number) for at, number in enumerate(layout["numbers"], start=1)]
    plants = [UUID(ident) for ident in layout["plants"]]
    if sheet.kind == PrintedSheet.Kind.DOME_CARD:
        pots = [pot for pot in text["pots"] if not pot["free"]] + list(text["beyond"])
        boxes = tuple((said, say(words)) for said, words in zip(layout["boxes"], text["boxes"], strict=True))
        drawn = zip(pots, plants, strict=True)
        return [SheetRow(at, pot["said"], boxes, plant, place=pot["place"]) for at, (pot, plant) in enumerate(drawn, start=1)]
    printed = [(dome, row) for dome, each in enumerate(text["domes"]) for row in each["rows"]]
    listed = []
    for at, ((dome, row), plant) in enumerate(zip(printed, plants, strict=True), start=1):
        boxes = tuple((said, say(words)) for said, words in text["boxes"] if said not in row["without"])
        listed.append(SheetRow(at, row["said"], boxes, plant, dome, row["place"], row["beside"]))
    return listed


@dataclass(frozen=True)
class Since:
    """What is to say of a row since it was printed; `gone` plants get no "unchanged", a row that is `shut` takes nothing."""

    words: str
    gone: bool = False
    shut: bool = False


def since_printed(sheet: PrintedSheet, rows: list[SheetRow], own: frozenset[UUID] = frozenset()) -> dict[int, Since]:
    """By row, where something has become of its plant since, or its code was given to another graft; `own` records are the sheet's."""
    if sheet.kind == PrintedSheet.Kind.BENCH:
        return _codes_taken(rows, own)
    idents = [row.plant for row in rows if row.plant]
    found = {plant.pk: plant for chunk in chunks(idents) for plant in Plant.objects.select_related("cultivar", "dome").filter(pk__in=chunk)}
    told = ((row.number, _since(sheet, row, found.get(row.plant) if row.plant else None)) for row in rows)
    return {number: since for number, since in told if since}


def _since(sheet: PrintedSheet, row: SheetRow, plant: Plant | None) -> Since | None:
    if plant is None:
        return Since(say("its graft was undone: what is ticked is kept, and counts when the graft is brought back"), gone=True)
    if plant.state == Plant.State.LEFT:
        return Since(say("it has left by sale or gift: what is ticked is kept and flagged"), gone=True)
    words = []
    if str(plant.dome_id or "") != sheet.layout["domes"][row.dome]:
        words.append(
            say("it stands {where} now", where=say("in {dome}", dome=plant.dome) if plant.dome else plant.stands or say("elsewhere"))
        )
    if plant.spoken != row.said.removesuffix("*"):
        words.append(say("it is called {plant} now", plant=plant.spoken))
    return Since("; ".join(words)) if words else None


def _codes_taken(rows: list[SheetRow], own: frozenset[UUID]) -> dict[int, Since]:
    numbers = {row.code: row.number for row in rows}
    grafted = Event.objects.filter(kind="grafted", payload__code_number__in=list(numbers)).exclude(pk__in=own)
    taken = set(grafted.values_list("payload__code_number", flat=True))
    names = {plant.code_number: plant.spoken for plant in Plant.objects.filter(code_number__in=taken).select_related("cultivar")}
    return {
        numbers[code]: Since(
            say("{plant} was written down with this code", plant=names.get(code, say("a graft that was undone"))), shut=True
        )
        for code in taken
    }
