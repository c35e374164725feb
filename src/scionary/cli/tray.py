"""The command that says how many pots stand on a tray; it needs no book."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.terminal import check_target, opened, say, say_json, table, write_file
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.tray import TrayAnswer, TrayAsk

_LISTED = 60


def tray(
    length: Annotated[str, typer.Option(help="Inside length of the tray: 540, 540 mm, 21 1/4 in.")],
    width: Annotated[str, typer.Option(help="Inside width.")],
    pot: Annotated[list[str], typer.Option(help="Pot across its rim: 98, 'round 4 1/2 in', '2 x round 165'; again for more kinds.")],
    round_ones: Annotated[bool, typer.Option("--round", help="Pots are round where nothing else is said.")] = False,
    clearance: Annotated[str, typer.Option(help="Free room between pots, for leaves.")] = "0",
    tolerance: Annotated[str, typer.Option(help="By how much a rim gives; -2 mm for pots that may be wider than measured.")] = "0",
    cover: Annotated[str, typer.Option(help="Height from the tray's floor to the cover.")] = "",
    lean: Annotated[str, typer.Option(help="How far the cover's walls lean in from foot to top.")] = "0",
    pot_height: Annotated[str, typer.Option(help="Height of the pots.")] = "",
    scion: Annotated[str, typer.Option(help="From rim to the scion's tip.")] = "",
    bench: Annotated[
        list[str] | None, typer.Option(help="Length of a bench, and once more its width: how many such trays it takes.")
    ] = None,
    wall: Annotated[str, typer.Option(help="The tray's wall and rim on each side, for the bench.")] = "0",
    gap: Annotated[str, typer.Option(help="Free room between trays on the bench.")] = "0",
    unit: Annotated[str | None, typer.Option(help="mm or in; the book's when left out, mm without a book.")] = None,
    out: Annotated[Path | None, typer.Option(help="A PDF to write: the tray as a map.")] = None,
    full_size: Annotated[bool, typer.Option("--full-size", help="The PDF at 1 : 1, over as many sheets as it takes.")] = False,
    page: Annotated[str, typer.Option(help="The paper: A4 or letter.")] = "A4",
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON.")] = False,
) -> None:
    """How many pots stand on a tray, and where; needs no book.

    Example: scionary tray --length 540 --width 280 --pot 98
    """
    from scionary.answers.tray import tray as answer_tray

    if out is not None:
        check_target(out)
    meant = _unit(unit)
    sides = {"length": length, "width": width, "cover": cover, "pot-height": pot_height, "scion": scion}
    more = {"clearance": clearance, "lean": lean, "wall": wall, "gap": gap}
    answer = answer_tray(_ask(sides, more, pot, bench or [], tolerance, meant, round_ones=round_ones), unit=meant)
    if as_json:
        say_json(answer.to_dict())
    else:
        _show(answer)
    if out is not None and answer.pots:
        from scionary.answers.tray_print import tray_pdf

        write_file(out, tray_pdf(answer, full_size=full_size, page=page))
    if not answer.pots:
        raise typer.Exit(1)


def _unit(given: str | None) -> str:
    """The unit asked for, else the book's where there is one; a book is never made for this."""
    if given is not None:
        if given not in ("mm", "in"):
            raise Refused(f"{given!r} is no unit.", where="--unit", remedy="Give mm or in.")
        return given
    from platformdirs import user_data_path

    named = os.environ.get("SCIONARY_BOOK")
    book = Path(named).expanduser() if named else user_data_path("scionary", appauthor=False) / "book.sqlite3"
    return str(opened().length_unit) if os.environ.get("DATABASE_URL") or book.exists() else "mm"


def _ask(
    sides: dict[str, str], more: dict[str, str], pots: list[str], bench: list[str], tolerance: str, unit: str, *, round_ones: bool
) -> TrayAsk:
    from scionary.answers.tray import TrayAsk
    from scionary.answers.tray_typed import length_typed, pot_typed, tolerance_typed

    if len(bench) not in (0, 2):
        raise Refused("a bench has a length and a width.", where="--bench", remedy="Write --bench 3000 --bench 900.")
    known = {name: length_typed(text, f"--{name}", unit) for name, text in sides.items() if text}
    free = {name: length_typed(text, f"--{name}", unit, least_mm=0.0) for name, text in more.items()}
    along, across = (length_typed(text, "--bench", unit) for text in bench) if bench else (None, None)
    return TrayAsk(
        length_mm=known["length"],
        width_mm=known["width"],
        pots=tuple(pot_typed(text, "--pot", unit, round_ones=round_ones) for text in pots),
        clearance_mm=free["clearance"],
        tolerance_mm=tolerance_typed(tolerance, "--tolerance", unit),
        cover_mm=known.get("cover"),
        lean_mm=free["lean"],
        pot_height_mm=known.get("pot-height"),
        scion_mm=known.get("scion"),
        bench_length_mm=along,
        bench_width_mm=across,
        wall_mm=free["wall"],
        gap_mm=free["gap"],
    )


def _show(answer: TrayAnswer) -> None:
    from scionary.units import length_words

    say(answer.sentence)
    for words in answer.why:
        say(f"  {words}")
    for words in answer.flags:
        say(f"  but: {words}")
    rows = [
        [pot.place, length_words(answer.across_mm(pot), answer.unit), *(length_words(at, answer.unit) for at in (pot.x_mm, pot.y_mm))]
        for pot in answer.pots[:_LISTED]
    ]
    if rows:
        say("Middle of each pot, from the near left corner of the inside:")
        table(["place", "pot", "along", "across"], rows, right=(0, 1, 2, 3))
    if len(answer.pots) > _LISTED:
        say(f"  … and {len(answer.pots) - _LISTED} more: --json lists all")


def add_to(program: typer.Typer) -> None:
    program.command()(tray)
