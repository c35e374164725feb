"""Commands that join: how to set a scion on a stock, which scion goes to which stock, the gauge card."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.terminal import check_target, day, opened, read_file, say, say_json, table, write_file
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.join_stems import JoinAnswer
    from scionary.answers.match_file import FileStems
    from scionary.answers.match_stems import MatchAnswer

Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
_SKILL = "Whose hand: beginner, practised, experienced; left out: the grafter's as measured, else the book's."
_GRAFTER = "Who grafts: errors measured on opened unions are then theirs; left out: who did on the last bench day; '' for nobody."
_CAUTION = "Cut away from hand and body, with a guard or a cut-resistant glove and a fresh, sharp blade; stop when tired. Alcohol burns."


def join(
    stock: Annotated[str, typer.Option(help="Thickness of the stock where the two will meet: 7, 9/32 in; with --unit 64ths: 18.")],
    scion: Annotated[str, typer.Option(help="Thickness of the scion.")],
    method: Annotated[str, typer.Option(help="A method of the book by its name, or: side_veneer, cleft, splice ...")] = "",
    stage: Annotated[
        str,
        typer.Option(
            help="What the stock is doing: dormant, buds-swelling, in-growth, growth-ripening, leaves-turning, unknown; "
            "left out: as the warmth outside tells."
        ),
    ] = "",
    skill: Annotated[str, typer.Option(help=_SKILL)] = "",
    grafter: Annotated[str | None, typer.Option(help=_GRAFTER)] = None,
    tolerance: Annotated[str, typer.Option(help="Gap that callus bridges, in mm; nobody knows it.")] = "",
    wanted: Annotated[str, typer.Option(help="Contact wanted, in mm; nobody knows it.")] = "",
    stock_name: Annotated[str, typer.Option(help="Botanical name of the stock: does it carry the scion?")] = "",
    scion_name: Annotated[str, typer.Option(help="Botanical name of the scion.")] = "",
    stock_bark: Annotated[str, typer.Option(help="Bark and bast of the stock, where you peeled a little and measured.")] = "",
    scion_bark: Annotated[str, typer.Option(help="Bark and bast of the scion.")] = "",
    stock_across: Annotated[str, typer.Option(help="The other thickness of an oval stock, across the face.")] = "",
    scion_across: Annotated[str, typer.Option(help="The other thickness of an oval scion.")] = "",
    stock_bend: Annotated[
        str, typer.Option(help="Radius of a bent stock to its middle, cut on its outer side; with a minus on the inner.")
    ] = "",
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
        "stock": stock, "scion": scion, "method": method, "stage": stage, "skill": skill, "tolerance": tolerance,
        "wanted": wanted, "stock_name": stock_name, "scion_name": scion_name, "stock_bark": stock_bark, "scion_bark": scion_bark,
        "stock_across": stock_across, "scion_across": scion_across, "stock_bend": stock_bend,
        **({} if grafter is None else {"grafter": grafter}),
    }  # fmt: skip
    ask, doubts = read_ask(typed, nursery, today=day(None, nursery), unit=unit)
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
        say(answer.reckoned)
        for at, step in enumerate(answer.steps[:-1], 1):
            say(f"  {at}. {step}")
        for words in answer.instead:
            say(f"  {words}")
    for words in (*answer.problems[1:], *answer.cautions):
        say(f"Look: {words}")
    if answer.stage_words:
        say(answer.stage_words)
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


def match(
    file: Annotated[
        Path | None,
        typer.Argument(
            help="A CSV or spreadsheet with columns scion and stock; or a text: scions, thicknesses below it, then stocks; - is a pipe."
        ),
    ] = None,
    method: Annotated[str, typer.Option(help="A method of the book by its name, or: side_veneer, cleft, splice ...")] = "",
    lot: Annotated[list[str] | None, typer.Option(help="Also the stocks of this lot, as they were measured; again for more lots.")] = None,
    bag: Annotated[
        list[str] | None, typer.Option(help="Also the scions of this bag, by its code or name, as they were measured; again for more bags.")
    ] = None,
    stage: Annotated[str, typer.Option(help="What the stocks are doing, as with join; left out: as the warmth outside tells.")] = "",
    skill: Annotated[str, typer.Option(help=_SKILL)] = "",
    grafter: Annotated[str | None, typer.Option(help=_GRAFTER)] = None,
    unit: Annotated[str, typer.Option(help="mm, in or 64ths; the book's when left out.")] = "",
    any_name: Annotated[bool, typer.Option("--any-name", help="Pair scions with stocks that do not carry them, too.")] = False,
    out: Annotated[Path | None, typer.Option(help="A PDF to write: the bench list.")] = None,
    as_json: Json = False,
) -> None:
    """Say which scion goes to which stock, what is left over, and what thickness to order.

    Example: scionary match stems.csv --out list.pdf
    """
    if out is not None:
        check_target(out)
    nursery = opened()
    from scionary.answers.match_stems import match_stems
    from scionary.answers.match_typed import MatchTyped, bags_named, lots_named, read_match

    if file is None and not (lot or bag):
        raise Refused("no stems are named.", where="match", remedy="Give a file, or --lot and --bag of the book.")
    lots, bags = lots_named(lot or []), bags_named(bag or [])
    scions, stocks, of_file = _stems_of(file, unit or nursery.length_unit)
    typed = MatchTyped(scions, stocks, bags, lots, method, unit, grafter, skill, stage, not any_name, of_file)
    ask, doubts = read_match(typed, nursery, today=day(None, nursery))
    answer = match_stems(ask)
    if as_json:
        say_json(answer.to_dict() | {"asked_again": doubts})
    else:
        _show_pairs(answer, doubts)
    if out is not None and answer.pairs:
        from scionary.answers.match_paper import pairs_pdf

        write_file(out, pairs_pdf(answer, nursery, today=day(None, nursery)), quiet=as_json)
    if answer.left_scions:
        raise typer.Exit(1)


def _stems_of(file: Path | None, unit: str) -> tuple[str, str, FileStems]:
    """Lines of scions and of stocks, or the stems of a table, of a file or of what comes through a pipe."""
    import sys

    from scionary.answers.match_file import FileStems, text_or_table
    from scionary.answers.match_typed import two_sections

    if file is None:
        return "", "", FileStems()
    piped = str(file) == "-"
    data = sys.stdin.buffer.read() if piped else read_file(file)
    found = text_or_table(data, "pipe" if piped else file.name, unit)
    return ("", "", found) if isinstance(found, FileStems) else (*two_sections(found), FileStems())


def _show_pairs(answer: MatchAnswer, doubts: list[str]) -> None:
    say(answer.sentence)
    for words in doubts:
        say(f"Look: {words}")
    rows = [[pair.stock.label, pair.scion.label, pair.scion.said, pair.sizes, pair.how] for pair in answer.pairs]
    if rows:
        table(["stock", "scion", "cultivar", "thickness", "how"], rows)
    for words in answer.left_words:
        say(words)
    if answer.order_words:
        say(f"To order: {', '.join(answer.order_words)}.")
    for words in (*answer.notes, *answer.assumed):
        say(f"  {words}")
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
    for command in (join, match, gauge):
        program.command()(command)
