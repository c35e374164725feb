"""Commands that join: how to set a scion on a stock, which scion goes to which stock, the gauge card."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.terminal import check_target, opened, say, say_json, table, write_file
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.join_stems import JoinAnswer

Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
_CAUTION = "Cut away from hand and body, with a guard or a cut-resistant glove and a fresh, sharp blade; stop when tired. Alcohol burns."


def join(
    stock: Annotated[str, typer.Option(help="Thickness of the stock where the two will meet: 7, 9/32 in; with --unit 64ths: 18.")],
    scion: Annotated[str, typer.Option(help="Thickness of the scion.")],
    method: Annotated[str, typer.Option(help="A method of the book by its name, or: side_veneer, cleft, splice ...")] = "",
    stage: Annotated[
        str, typer.Option(help="What the stock is doing: dormant, buds-swelling, in-growth, growth-ripening, leaves-turning.")
    ] = "",
    skill: Annotated[str, typer.Option(help="Whose hand: beginner, practised, experienced; left out: as the book has it.")] = "",
    grafter: Annotated[str, typer.Option(help="Who grafts: errors measured on opened unions are then theirs.")] = "",
    tolerance: Annotated[str, typer.Option(help="Gap that callus bridges, in mm; nobody knows it.")] = "",
    wanted: Annotated[str, typer.Option(help="Contact wanted, in mm; nobody knows it.")] = "",
    stock_name: Annotated[str, typer.Option(help="Botanical name of the stock: does it carry the scion?")] = "",
    scion_name: Annotated[str, typer.Option(help="Botanical name of the scion.")] = "",
    stock_bark: Annotated[str, typer.Option(help="Bark and bast of the stock, where you peeled a little and measured.")] = "",
    scion_bark: Annotated[str, typer.Option(help="Bark and bast of the scion.")] = "",
    stock_across: Annotated[str, typer.Option(help="The other thickness of an oval stock, across the face.")] = "",
    scion_across: Annotated[str, typer.Option(help="The other thickness of an oval scion.")] = "",
    stock_bend: Annotated[str, typer.Option(help="Radius of a bent stock, cut on its outer side; with a minus on the inner.")] = "",
    unit: Annotated[str, typer.Option(help="mm, in or 64ths; the book's when left out.")] = "",
    out: Annotated[Path | None, typer.Option(help="A PDF to write: the sheet that teaches this union.")] = None,
    as_json: Json = False,
) -> None:
    """Say how to join two stems: what to cut, how to set the scion, how likely it is.

    Example: scionary join --stock 7 --scion 3
    """
    if out is not None:
        check_target(out)
    nursery = opened()
    from scionary.answers.join_stems import join_stems
    from scionary.answers.join_typed import read_ask

    typed = {
        "stock": stock, "scion": scion, "method": method, "stage": stage, "skill": skill, "grafter": grafter, "tolerance": tolerance,
        "wanted": wanted, "stock_name": stock_name, "scion_name": scion_name, "stock_bark": stock_bark, "scion_bark": scion_bark,
        "stock_across": stock_across, "scion_across": scion_across, "stock_bend": stock_bend,
    }  # fmt: skip
    ask, doubts = read_ask(typed, nursery, unit=unit)
    answer = join_stems(ask)
    if as_json:
        say_json(answer.to_dict() | {"asked_again": [question for _, question, _ in doubts]})
    else:
        _show(answer, [question for _, question, _ in doubts])
    if out is not None and answer.views:
        from scionary.answers.join_paper import teaching_sheet_pdf

        write_file(out, teaching_sheet_pdf(answer, nursery), quiet=as_json)
    if not answer.fits:
        raise typer.Exit(1)


def _show(answer: JoinAnswer, doubts: list[str]) -> None:
    say(answer.sentence)
    for words in doubts:
        say(f"Look: {words}")
    if answer.fits:
        say(f"{answer.chance} {answer.range_words}")
        for at, step in enumerate(answer.steps[:-1], 1):
            say(f"  {at}. {step}")
        for words in answer.instead:
            say(f"  {words}")
    for words in (*answer.problems[1:], *answer.cautions):
        say(f"Look: {words}")
    if answer.moved:
        say("What nobody knows moves it (gap that callus bridges, down; contact wanted, across):")
        rows = [[f"{gap:g} mm", *(f"{each.words}{' *' if each.here else ''}" for each in row)] for gap, row in answer.moved_rows]
        table(["", *(f"{each.wanted_mm:g} mm" for each in answer.moved_rows[0][1])], rows)
    say("Other methods:")
    for other in answer.others:
        say(f"  {other.name}: {other.words}")
    for words in answer.assumed:
        say(f"  assumes: {words}")
    say(_CAUTION)


def gauge(
    out: Annotated[Path, typer.Option(help="The PDF to write.")],
    page: Annotated[str, typer.Option(help="The paper: A4 or letter.")] = "A4",
) -> None:
    """Print a go/no-go card that tells how thick a stem is; needs no book.

    Example: scionary gauge --out gauge.pdf
    """
    if page not in ("A4", "letter"):
        raise Refused(f"{page[:20]!r} is no paper.", where="--page", remedy="Give A4 or letter.")
    check_target(out)
    from scionary.answers.gauge import gauge_card_pdf

    write_file(out, gauge_card_pdf(page))
    say("Print at actual size and hold a ruler to its scale before you trust it.")
    say("Cut its slots on a board, away from hand and body, with a sharp blade and a cut-resistant glove.")


def add_to(program: typer.Typer) -> None:
    for command in (join, gauge):
        program.command()(command)
