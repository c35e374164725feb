"""Commands for printed sheets: list, print, key, undo."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.nouns import dome_named
from scionary.cli.terminal import check_target, day, now, opened, say, say_json, table, write_file
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.paper_ticks import WholeDome
    from scionary.book.models import Nursery, PrintedSheet

Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
Code = Annotated[str, typer.Argument(help="The sheet's code, as it stands on the paper.")]

paper = typer.Typer(
    name="paper", no_args_is_help=True, help="Printed sheets: rounds, dome cards and bench days on paper, and keying them back."
)


@paper.command("list")
def list_(as_json: Json = False) -> None:
    """List the sheets that were printed lately, and which were keyed in.

    Example: scionary paper list
    """
    nursery = opened()
    from scionary.answers.paper import printed_lately
    from scionary.names.sheet_codes import sheet_grouped

    sheets = printed_lately()
    if as_json:
        say_json([_told(sheet, nursery) for sheet in sheets])
        return
    if not sheets:
        say("No sheet was printed yet: scionary paper print --round 'Dome 1' --out round.pdf")
        return
    rows = [
        [sheet_grouped(sheet.code), each["kind"], each["of"], each["printed"], each["keyed_in"] or "-"]
        for sheet in sheets
        for each in [_told(sheet, nursery)]
    ]
    table(["code", "sheet", "of", "printed", "keyed in"], rows)


@paper.command("print")
def print_(
    out: Annotated[Path, typer.Option(help="The PDF to write.")],
    of_round: Annotated[
        list[str] | None, typer.Option("--round", metavar="DOME", help="A round sheet; once for each dome on the walk.")
    ] = None,
    card: Annotated[str | None, typer.Option("--card", metavar="DOME", help="The card that hangs on this dome.")] = None,
    bench: Annotated[
        int | None, typer.Option("--bench", metavar="ROWS", help="A bench sheet of so many rows, for the latest bench day.")
    ] = None,
    again: Annotated[str | None, typer.Option("--again", metavar="CODE", help="A kept sheet once more, as it was.")] = None,
    labels: Annotated[str | None, typer.Option("--labels", metavar="CODE", help="The labels of a bench sheet's codes.")] = None,
) -> None:
    """Print a sheet and keep what it shows, so that it can be keyed in; or print a kept one again.

    Example: scionary paper print --round 'Dome 1' --round 'Dome 2' --out round.pdf
    """
    nursery = opened()
    if sum(wish not in (None, []) for wish in (of_round, card, bench, again, labels)) != 1:
        raise Refused("which sheet?", where="paper print", remedy="Give one of --round, --card, --bench, --again, --labels.")
    from scionary.answers.paper import sheet_called
    from scionary.answers.paper_drawn import sheet_labels_pdf, sheet_pdf
    from scionary.names.sheet_codes import sheet_grouped

    check_target(out)
    if labels:
        write_file(out, sheet_labels_pdf(sheet_called(labels), nursery))
        return
    sheet = sheet_called(again) if again else _printed(of_round or [], card, bench, nursery)
    write_file(out, sheet_pdf(sheet))
    say(f"Its code is {sheet_grouped(sheet.code)}: scionary paper key {sheet.code} 1=…")


def _printed(domes: list[str], card: str | None, bench: int | None, nursery: Nursery) -> PrintedSheet:
    from scionary.answers.bench import last_setup
    from scionary.answers.paper import print_bench, print_dome_card, print_round

    today = day(None, nursery)
    if domes:
        return print_round([dome_named(name).pk for name in domes], today=today, now=now())
    if card is not None:
        return print_dome_card(dome_named(card).pk, today=today, now=now())
    last = last_setup(today)
    if last is None:
        raise Refused("no bench day is set yet.", where="--bench", remedy="Set the bench first, on its page, or write a graft down.")
    return print_bench(last.pk, bench or 0, today=today, now=now())


@paper.command()
def key(
    code: Code,
    rows: Annotated[
        list[str] | None,
        typer.Argument(metavar="[ROW=WHAT]...", help="'1=firm' by place, 'Red Tarn 3=drops+bud', '4=lost:dried out', 'rest=unchanged'."),
    ] = None,
    water: Annotated[bool, typer.Option("--water", help="Water was topped up; of several domes in the first.")] = False,
    vent: Annotated[int | None, typer.Option(min=0, max=100, help="Vents now open by so many percent.")] = None,
    note: Annotated[str, typer.Option(help="The note on the dome.")] = "",
    on: Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day of the walk; that of printing when left out.")] = None,
    look: Annotated[bool, typer.Option("--look", help="Only say what would change.")] = False,
    as_json: Json = False,
) -> None:
    """Key a sheet in: rows that are named are as you say, all others stay as they are; the same again writes nothing.

    WHAT is what stands over the boxes: drops, stays, bud, in-leaf, firm, unsure, wilting, mould, unchanged, lost; + between several.
    On a bench sheet: made, 7x6.5 (stock x scion), cut 18, lean 1.3, changed or disinfected (the blade, before this graft).

    Example: scionary paper key SW5A2K 1=firm '2=lost:dried out' rest=unchanged --water
    """
    nursery = opened()
    from scionary.answers.paper import sheet_called
    from scionary.answers.paper_keying import changes_of, key_sheet
    from scionary.answers.paper_read_back import ticks_standing
    from scionary.answers.paper_rows import rows_of
    from scionary.answers.paper_slots import written_of
    from scionary.answers.paper_typed import with_typed

    sheet = sheet_called(code)
    ticks = with_typed(
        ticks_standing(sheet, written_of(sheet), nursery, today=day(None, nursery)), rows or [], sheet, rows_of(sheet), nursery
    )
    if ticks.domes:
        ticks = replace(ticks, domes={**ticks.domes, 0: _with_whole(ticks.domes[0], water, vent, note)})
    if on:
        ticks = replace(ticks, day=day(on, nursery))
    if look:
        say(f"In the book would be: {changes_of(sheet, ticks, nursery=nursery, now=now()).words}. Nothing is written.")
        return
    done = key_sheet(sheet, ticks, nursery=nursery, now=now())
    if as_json:
        say_json({"code": sheet.code, "rows": done.rows, "ticked": done.ticked, "written": done.changes.words, "flags": done.flags})
        return
    say(f"{done.words}. Written: {done.changes.words}.")
    for flag in done.flags:
        say(f"Look: {flag}")


def _with_whole(whole: WholeDome, water: bool, vent: int | None, note: str) -> WholeDome:
    return replace(whole, water=whole.water or water, vents=whole.vents if vent is None else vent, note=note or whole.note)


@paper.command()
def undo(code: Code) -> None:
    """Undo all that was keyed in from a sheet.

    Example: scionary paper undo SW5A2K
    """
    opened()
    from scionary.answers.paper import sheet_called
    from scionary.answers.paper_keying import undo_sheet
    from scionary.answers.words import plural

    count = undo_sheet(sheet_called(code), now=now())
    say(f"Undone: {plural(count, 'record')}." if count else "There was nothing to undo.")


def _told(sheet: PrintedSheet, nursery: Nursery) -> dict[str, str]:
    """What the list says of a sheet."""
    text = sheet.layout["text"]
    of = text.get("dome") or text.get("title", "").removeprefix("Bench: ") or ", ".join(dome["name"] for dome in text.get("domes", []))
    keyed = f"{sheet.keyed_at.astimezone(nursery.zone):%Y-%m-%d}" if sheet.keyed_at else ""
    printed = f"{sheet.printed_at.astimezone(nursery.zone):%Y-%m-%d %H:%M}"
    return {"code": sheet.code, "kind": str(sheet.get_kind_display()), "of": of, "printed": printed, "keyed_in": keyed}


def add_to(program: typer.Typer) -> None:
    program.add_typer(paper)
