"""Commands at the bench: bench, labels."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.choices import light_meant
from scionary.cli.near_names import cultivar_meant
from scionary.cli.nouns import dome_named, plant_named
from scionary.cli.terminal import check_target, day, now, opened, say, say_json, table, write_file
from scionary.errors import Refused
from scionary.files.grids import GRID_WORDS

if TYPE_CHECKING:
    from datetime import date

    from scionary.book.models import Nursery, Plant
    from scionary.files.grids import SheetGrid

On = Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day (2026-07-31); today when left out.")]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]


def bench(
    cultivar: Annotated[str, typer.Argument(help="The cultivar's spoken name; a new name is added.")],
    count: Annotated[int | None, typer.Argument(help="How many grafts; 1 when left out, or as many as there are --codes.")] = None,
    dome: Annotated[
        str | None,
        typer.Option(help="The dome they go into; a new name is added with the usual inside size. Left out: the last one, else the first."),
    ] = None,
    no_dome: Annotated[bool, typer.Option("--no-dome", help="They go into no dome.")] = False,
    new: Annotated[bool, typer.Option("--new", help="The cultivar is a new one, although the book holds a name nearly like it.")] = False,
    method: Annotated[str | None, typer.Option(help="The method, by its name.")] = None,
    lot: Annotated[str | None, typer.Option(help="The rootstock lot; a new name is added.")] = None,
    tree: Annotated[str | None, typer.Option(help="The mother tree, by its name.")] = None,
    stock: Annotated[str, typer.Option(help="Stock thickness: 6.8 or 1/4 in.")] = "",
    scion: Annotated[str, typer.Option(help="Scion thickness: 3.1 or 1/8 in.")] = "",
    cut: Annotated[str, typer.Option(help="Length of the cut: 20 or 3/4 in.")] = "",
    lean: Annotated[str, typer.Option(help="How far the scion's top leans across the stock: 1.3; 0 where it stands straight.")] = "",
    grafter: Annotated[str, typer.Option(help="Who grafts.")] = "",
    note: Annotated[str, typer.Option(help="A note.")] = "",
    codes: Annotated[str, typer.Option(help="The codes on labels printed ahead, commas between: 'P8W ECYC, 3M7 NRCA'.")] = "",
    label_medium: Annotated[str, typer.Option(help="What the labels are written with: pencil, printed, or another medium.")] = "",
    light: Annotated[str, typer.Option(help="Where the labels hang: sun or shade.")] = "",
    on: On = None,
    as_json: Json = False,
) -> None:
    """Write down grafts; each gets a name to say and a code for its label.

    Example: scionary bench 'Red Tarn' 3 --dome 'Dome 1'
    """
    nursery = opened()
    from scionary.answers.bench_day import BenchWords, Label, write_bench_day
    from scionary.answers.labels_ahead import counted, numbers_on_labels
    from scionary.answers.protected import all_protected_words

    numbers = numbers_on_labels(codes)
    many = counted(count, numbers)
    today = day(on, nursery)
    named, place = cultivar_meant(cultivar, new=new), _dome_meant(dome, today, none=no_dome)
    words = BenchWords(
        named,
        many,
        today,
        place,
        method or "",
        lot or "",
        tree or "",
        stock,
        scion,
        grafter,
        note,
        numbers,
        Label(label_medium, light_meant(light)),
        cut,
        lean,
    )
    written = write_bench_day(words, nursery, now=now())
    if as_json:
        say_json({"plants": [_plain(p) for p in written.plants], "flags": written.flags})
        return
    where = f", into {place}{'' if dome else ' (another: --dome NAME, none: --no-dome)'}" if place else ", into no dome"
    say(f"Written down: {len(written.plants)} {'graft' if len(written.plants) == 1 else 'grafts'}{where}.")
    table(["say", "write on the label"], [[p.spoken, _code(p)] for p in written.plants])
    for flag in written.flags:
        say(f"Look: {flag}")
    for protected in all_protected_words((p.cultivar for p in written.plants), today):
        say(f"Look: {protected}")
    _say_unknown(label_medium, nursery)
    say("Cut away from hand and body; stop when tired. Labels: scionary labels --out labels.pdf")


def _say_unknown(medium: str, nursery: Nursery) -> None:
    """A word on a medium of which the book does not know how long it lasts."""
    from scionary.answers.label_media import label_media, unknown_words

    if words := unknown_words(medium, label_media(nursery)):
        say(f"Look: {words}")


def labels(
    out: Annotated[Path, typer.Option(help="The PDF to write.")],
    plant: Annotated[
        list[str] | None,
        typer.Argument(metavar="[PLANT]...", help="Codes or names; with none, all of --dome, or of the day --on or last at the bench."),
    ] = None,
    dome: Annotated[str | None, typer.Option(help="All plants that stand in this dome.")] = None,
    card: Annotated[bool, typer.Option("--card", help="The dome's card instead of its labels.")] = False,
    ahead: Annotated[
        int | None, typer.Option(help="So many labels before the day: their codes are set aside, the name is written on by hand.")
    ] = None,
    by_hand: Annotated[bool, typer.Option("--list", help="A list to write labels by hand from, with boxes to tick.")] = False,
    grid: Annotated[
        str | None, typer.Option(help=f"The sheet: {'; '.join(f'{key} ({words})' for key, words in GRID_WORDS.items())}.")
    ] = None,
    start_at: Annotated[int, typer.Option(help="First free place on the sheet, counted from 1.")] = 1,
    label: Annotated[
        str, typer.Option(metavar="WxH", help="A sheet as you measured it: width and height of a label, 63.5x33.9 or 2.6x1in.")
    ] = "",
    across: Annotated[int, typer.Option(help="With --label: labels beside each other.")] = 1,
    down: Annotated[int, typer.Option(help="With --label: labels beneath each other.")] = 1,
    margins: Annotated[str, typer.Option(metavar="LEFTxTOP", help="With --label: margins; in the middle when left out.")] = "",
    gaps: Annotated[str, typer.Option(metavar="WxH", help="With --label: gaps across and down; 0x0 when left out.")] = "",
    paper: Annotated[str, typer.Option(help="With --label: A4, letter, or its sides (62x29 for a roll).")] = "",
    symbol: Annotated[str, typer.Option(help="What carries the code: qr or datamatrix.")] = "qr",
    copies: Annotated[int, typer.Option(help="Of each label so many, 1 to 4: a second one to bury in the pot.")] = 1,
    on: On = None,
) -> None:
    """Print labels with code and symbol, or the card that hangs on a dome, as PDF.

    Example: scionary labels --dome 'Dome 1' --out labels.pdf
    """
    nursery = opened()
    from scionary.answers import labels as answer
    from scionary.answers.label_cautions import label_cautions

    if card:
        if not dome:
            raise Refused("which dome's card?", where="--card", remedy="Name it: --dome 'Dome 1'.")
        from scionary.answers.dome_card import dome_card_pdf

        write_file(out, dome_card_pdf(dome_named(dome).pk, today=day(on, nursery)))
        return
    measured = _measured(label, across, down, margins, gaps, paper, nursery)
    if measured and grid:
        raise Refused("a sheet by its name and one as measured are both asked for.", where="--label", remedy="Leave one of the two out.")
    sheet: dict[str, Any] = {"preset": grid or "", "grid": measured, "start_at": start_at - 1, "symbol": symbol, "copies": copies}
    if ahead is not None:
        _print_ahead(ahead, out, sheet, nursery, alone=not (plant or dome or on or by_hand))
        return
    chosen = _chosen(plant or [], dome, day(on, nursery) if on else None, nursery)
    cautions = label_cautions(chosen, nursery, today=day(None, nursery))
    if by_hand:
        from scionary.answers.label_list import label_list_pdf

        write_file(out, label_list_pdf(chosen, nursery=nursery, today=day(None, nursery)))
        for caution in cautions:
            say(f"Look: {caution}")
        return
    sheets = answer.labels_pdf(chosen, nursery=nursery, **sheet)
    write_file(out, sheets.pdf)
    for warning in (*cautions, *sheets.warnings):
        say(f"Look: {warning}")


def _print_ahead(count: int, out: Path, sheet: dict[str, Any], nursery: Nursery, *, alone: bool) -> None:
    """Labels without plants, into a file that can be written."""
    from scionary.answers.labels_ahead import labels_ahead_pdf

    if not alone:
        raise Refused("labels ahead belong to no plant yet.", where="--ahead", remedy="Leave plants, --dome, --on and --list out.")
    check_target(out)
    write_file(out, labels_ahead_pdf(count, nursery=nursery, now=now(), **sheet).pdf)
    say("Write the name on each by hand. At the bench: scionary bench 'Red Tarn' --codes 'the codes, commas between'.")


def _measured(label: str, across: int, down: int, margins: str, gaps: str, paper: str, nursery: Nursery) -> SheetGrid | None:
    """The sheet that was measured, or None where none was."""
    from scionary.answers.label_sheets import own_sheet

    if not label:
        if (across, down, margins, gaps, paper) != (1, 1, "", "", ""):
            raise Refused("how large is a label?", where="--label", remedy="Give its width and height: --label 63.5x33.9.")
        return None
    typed = {"columns": str(across), "rows": str(down), "page": paper}
    typed |= dict(zip(("label_width", "label_height"), _two(label, "--label"), strict=True))
    typed |= dict(zip(("left", "top"), _two(margins, "--margins"), strict=True))
    typed |= dict(zip(("gap_across", "gap_down"), _two(gaps, "--gaps"), strict=True))
    return own_sheet(typed, paper=nursery.paper, unit=nursery.length_unit)


def _two(text: str, where: str) -> tuple[str, str]:
    """Two lengths with an x between them; a unit behind the second holds for both."""
    if not text:
        return "", ""
    first, cross, second = text.lower().replace("×", "x").partition("x")
    if not cross or "x" in second:
        raise Refused(f"{text[:40]!r} is not two lengths.", where=where, remedy="Write them with an x between: 63.5x33.9.")
    unit = second.strip().lstrip("0123456789.,/ ")
    return (first if not unit or first.strip().endswith(unit) else f"{first}{unit}"), second


def _dome_meant(name: str | None, today: date, *, none: bool) -> str:
    """The dome that was named; without a name the one that the page begins with."""
    from scionary.answers.bench_setting import usual_dome

    if none and name:
        raise Refused("a dome and no dome are both asked for.", where="--no-dome", remedy="Leave one of the two out.")
    return "" if none else name or usual_dome(today)


def _chosen(texts: list[str], dome: str | None, on: date | None, nursery: Nursery) -> list[Plant]:
    """The plants that were named, else those of a dome, else all grafts of a day at the bench."""
    from scionary.answers.labels import latest_day, plants_grafted_on
    from scionary.book import queries

    if texts:
        return [plant_named(text) for text in texts]
    if dome:
        found = list(queries.plants_in(dome_named(dome)))
    else:
        latest = on or latest_day(nursery)
        found = plants_grafted_on(latest, nursery) if latest else []
    if not found:
        raise Refused("there is no plant to label.", where="labels", remedy="Write down grafts first: scionary bench 'Red Tarn' 3.")
    return found


def _code(plant: Plant) -> str:
    from scionary.names import code_of, grouped

    return grouped(code_of(plant.code_number)) if plant.code_number is not None else "code pending"


def _plain(plant: Plant) -> dict[str, object]:
    return {
        "id": str(plant.id),
        "name": plant.spoken,
        "code": _code(plant).replace(" ", ""),
        "dome": str(plant.dome) if plant.dome else None,
        "place": plant.place,
    }


def add_to(program: typer.Typer) -> None:
    for command in (bench, labels):
        program.command()(command)
