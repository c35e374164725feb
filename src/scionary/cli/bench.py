"""Commands at the bench: bench, labels."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.nouns import dome_named, plant_named
from scionary.cli.terminal import day, now, opened, say, say_json, table, write_file
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.book.models import Plant

On = Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day (2026-07-31); today when left out.")]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]


def bench(
    cultivar: Annotated[str, typer.Argument(help="The cultivar's spoken name; a new name is added.")],
    count: Annotated[int, typer.Argument(help="How many grafts.")] = 1,
    dome: Annotated[str | None, typer.Option(help="The dome they go into; a new name is added with the usual inside size.")] = None,
    method: Annotated[str | None, typer.Option(help="The method, by its name.")] = None,
    lot: Annotated[str | None, typer.Option(help="The rootstock lot; a new name is added.")] = None,
    tree: Annotated[str | None, typer.Option(help="The mother tree, by its name.")] = None,
    stock: Annotated[str, typer.Option(help="Stock thickness: 6.8, 1/4 in.")] = "",
    scion: Annotated[str, typer.Option(help="Scion thickness: 3.1, 1/8 in.")] = "",
    grafter: Annotated[str, typer.Option(help="Who grafts.")] = "",
    note: Annotated[str, typer.Option(help="A note.")] = "",
    on: On = None,
    as_json: Json = False,
) -> None:
    """Write down grafts; each gets a name to say and a code for its label.

    Example: scionary bench 'Red Tarn' 3 --dome 'Dome 1'
    """
    nursery = opened()
    from scionary.answers.bench_day import BenchWords, write_bench_day

    words = BenchWords(cultivar, count, day(on, nursery), dome or "", method or "", lot or "", tree or "", stock, scion, grafter, note)
    written = write_bench_day(words, nursery, now=now())
    if as_json:
        say_json({"plants": [_plain(p) for p in written.plants], "flags": written.flags})
        return
    say(f"Written down: {len(written.plants)} {'graft' if len(written.plants) == 1 else 'grafts'}.")
    table(["say", "write on the label"], [[p.spoken, _code(p)] for p in written.plants])
    for flag in written.flags:
        say(f"Look: {flag}")
    say("Cut away from hand and body; stop when tired. Labels: scionary labels --out labels.pdf")


def labels(
    out: Annotated[Path, typer.Option(help="The PDF to write.")],
    plant: Annotated[
        list[str] | None,
        typer.Argument(metavar="[PLANT]...", help="Codes or names; with none, those of --dome or of the latest bench day."),
    ] = None,
    dome: Annotated[str | None, typer.Option(help="All plants that stand in this dome.")] = None,
    card: Annotated[bool, typer.Option("--card", help="The dome's card instead of its labels.")] = False,
    grid: Annotated[str | None, typer.Option(help="The sheet's grid, by its name; see docs.")] = None,
    start_at: Annotated[int, typer.Option(help="First free place on the sheet, counted from 1.")] = 1,
    on: On = None,
) -> None:
    """Print labels with code and symbol, or the card that hangs on a dome, as PDF.

    Example: scionary labels --dome 'Dome 1' --out labels.pdf
    """
    nursery = opened()
    from scionary.answers import labels as answer

    if card:
        if not dome:
            raise Refused("which dome's card?", where="--card", remedy="Name it: --dome 'Dome 1'.")
        from scionary.answers.dome_card import dome_card_pdf

        write_file(out, dome_card_pdf(dome_named(dome).pk, today=day(on, nursery)))
        return
    chosen = _chosen(plant or [], dome)
    sheets = answer.labels_pdf(chosen, preset=grid or "", start_at=start_at - 1, nursery=nursery)
    write_file(out, sheets.pdf)
    for warning in sheets.warnings:
        say(f"Look: {warning}")


def _chosen(texts: list[str], dome: str | None) -> list[Plant]:
    from scionary.book import queries
    from scionary.book.models import Graft

    if texts:
        return [plant_named(text) for text in texts]
    if dome:
        found = list(queries.plants_in(dome_named(dome)))
    else:
        latest = Graft.objects.order_by("-grafted_at").values_list("grafted_at", flat=True).first()
        found = list(queries.plants().filter(grafts__grafted_at=latest).distinct().order_by("code_number")) if latest else []
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
