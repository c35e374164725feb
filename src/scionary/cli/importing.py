"""Command import: past records, wishes and logger files; first a look, then all or nothing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.near_names import names_that_are_the_same, near_names, refuse_near_names, same_as
from scionary.cli.nouns import dome_named
from scionary.cli.terminal import now, opened, read_file, say, say_json
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.imports import ImportPreview, WishPreview

_ROWS_SHOWN = 40


class As(StrEnum):
    """What a file holds."""

    PAST = "past"
    WISHES = "wishes"
    LOGGER = "logger"


def import_(
    file: Annotated[Path, typer.Argument(help="A CSV or XLSX file; for --as logger a logger's own file.")],
    what: Annotated[As, typer.Option("--as", help="Past records, a wish list, or a logger's readings.")] = As.PAST,
    accept: Annotated[bool, typer.Option("--accept", help="Take it into the book; without this it is only looked at.")] = False,
    skip: Annotated[bool, typer.Option("--skip-not-understood", help="Leave out the rows that are not understood.")] = False,
    column: Annotated[list[str] | None, typer.Option(metavar="HEADER=WHAT", help="What a column holds: 'Sort=cultivar'.")] = None,
    date_order: Annotated[str | None, typer.Option(help="dmy, mdy or ymd, where dates can be read in two ways.")] = None,
    stage: Annotated[str | None, typer.Option(help="At which stage takes were counted: firm, growing or in_leaf.")] = None,
    sheet: Annotated[str | None, typer.Option(help="The sheet of a workbook.")] = None,
    season: Annotated[int | None, typer.Option(help="For wishes: the growing year.", min=1900, max=2999)] = None,
    dome: Annotated[str | None, typer.Option(help="For a logger: the dome it stood in.")] = None,
    sensor: Annotated[str, typer.Option(help="For a logger: its name; when left out the dome's own, else the file's name.")] = "",
    same: Annotated[
        list[str] | None, typer.Option(metavar="WRITTEN=MEANT", help="What a misspelt cultivar, method or lot is: 'Ash Gil=Ash Gill'.")
    ] = None,
    new_names: Annotated[bool, typer.Option("--new-names", help="Names that are nearly others are new ones.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON.")] = False,
) -> None:
    """Look at a file row by row, then take it in with --accept. Exit code 1 when rows are not understood.

    Example: scionary import old-records.xlsx --date-order dmy --accept
    """
    opened()
    data = read_file(file)
    if what is As.LOGGER:
        how = LoggerHow(sensor, dome, date_order, {role: header for header, role in (columns_said(column or []) or {}).items()})
        _logger(data, file.name, how, accept=accept, as_json=as_json)
        return
    said = {"mapping": columns_said(column or []), "date_order": date_order, "sheet": sheet}
    meant = names_that_are_the_same(same or [])
    how = _past_how(said, meant, stage) if what is As.PAST else _wish_how(said, meant, season)
    if accept:
        if not new_names:
            _check_names(_seen(what, data, file.name, how), file.name, meant, skip=skip)
        _accept(what, data, file.name, how, skip=skip, as_json=as_json)
    else:
        _preview(_seen(what, data, file.name, how), file.name, meant, as_json=as_json)


def _past_how(said: dict[str, Any], meant: dict[str, str], stage: str | None) -> Any:
    from scionary.answers.imports import Choices, PastReading

    return PastReading(**said, stage=stage, choices=Choices(meant, meant, meant))


def _wish_how(said: dict[str, Any], meant: dict[str, str], season: int | None) -> Any:
    from scionary.answers.imports import WishReading

    return WishReading(**said, season=season, cultivars=meant)


def columns_said(columns: list[str]) -> dict[str, str] | None:
    """What the person says of columns; None when nothing was said."""
    found: dict[str, str] = {}
    for text in columns:
        header, sign, role = text.rpartition("=")
        if not sign or not header.strip() or not role.strip():
            raise Refused(f"{text!r} names no column.", where="--column", remedy="Write HEADER=WHAT: 'Sort=cultivar'.")
        found[header.strip()] = role.strip()
    return found or None


def _accept(what: As, data: bytes, name: str, how: Any, *, skip: bool, as_json: bool) -> None:
    from scionary.answers.imports import accept_past, accept_wishes

    take = accept_past if what is As.PAST else accept_wishes
    result: Any = take(data, name, now=now(), how=how, skip_not_understood=skip)
    if as_json:
        say_json(result.to_dict())
        return
    say(result.words)


def _seen(what: As, data: bytes, name: str, how: Any) -> Any:
    """What the file would bring."""
    from scionary.answers.imports import preview_past, preview_wishes
    from scionary.book.queries import nursery

    moment = now()
    if what is As.PAST:
        return preview_past(data, name, now=moment, how=how)
    return preview_wishes(data, name, today=moment.astimezone(nursery().zone).date(), how=how)


def _check_names(seen: Any, name: str, meant: dict[str, str], *, skip: bool) -> None:
    """Refuse near names, unless the file is refused for its rows anyway; a question that may stay open does not let them pass."""
    if not seen.read_before and (skip or not seen.not_understood):
        refuse_near_names(near_names(seen, meant), name)


def _preview(seen: Any, name: str, meant: dict[str, str], *, as_json: bool) -> None:
    if as_json:
        say_json(seen.to_dict())
    else:
        _show(seen, name, meant)
    if seen.not_understood or seen.questions:
        raise typer.Exit(1)


def _show(seen: ImportPreview | WishPreview, name: str, meant: dict[str, str]) -> None:
    say(f"{name}: {seen.words} Nothing is written yet.")
    say("Columns: " + ", ".join(f"{header} = {role}" for header, role in seen.mapping.items()) + ".")
    not_understood = [row for row in seen.rows if row.becomes == "not understood"]
    understood = [row for row in seen.rows if row.becomes != "not understood"]
    for row in understood[:_ROWS_SHOWN]:
        say(f"  row {row.row}: {row.words}")
    if len(understood) > _ROWS_SHOWN:
        say(f"  … and {len(understood) - _ROWS_SHOWN} more; --json has all.")
    for row in not_understood:
        place = f", {row.column} {row.text!r}" if row.column else ""
        say(f"  row {row.row}{place}: not understood: {row.words} {row.remedy}")
    if seen.new_names:
        say(seen.new_names)
    for written, near in near_names(seen, meant).items():
        say(f"Look: {written} is new to the book and nearly {' or '.join(near)}. {same_as(written, near)}, or --new-names.")
    for warning in seen.warnings:
        say(f"Look: {warning}")
    for question in seen.questions:
        choices = "; ".join(f"--{question.argument.replace('_', '-')} {value} ({words})" for value, words in question.choices)
        say(f"Question: {question.words} {choices}")
    if seen.read_before:
        say(f"Look: this very file was taken in on {seen.read_before}.")


@dataclass(frozen=True)
class LoggerHow:
    """What a person says of a logger's file; columns as role and header or number."""

    sensor: str
    dome: str | None
    date_order: str | None
    columns: dict[str, str | int]


def _logger(data: bytes, name: str, how: LoggerHow, *, accept: bool, as_json: bool) -> None:
    from scionary.answers.imports import LoggerReading, accept_logger, preview_logger

    ident = dome_named(how.dome).pk if how.dome else None
    take = accept_logger if accept else preview_logger
    reading = LoggerReading(date_order=how.date_order, columns=how.columns or None)
    result: Any = take(data, name, now=now(), sensor=how.sensor or ("" if ident else Path(name).stem), dome=ident, how=reading)
    if as_json:
        say_json(result.to_dict())
        return
    say(f"{result.words}{'' if accept else ' Nothing is written yet.'}")
    for warning in result.warnings:
        say(f"Look: {warning}")
    for _, stretch in result.worst if accept else ():
        say(f"Look: {stretch}.")
    for problem in result.problems[:_ROWS_SHOWN]:
        say(f"  line {problem.line}: {problem.what}")


def add_to(program: typer.Typer) -> None:
    program.command("import")(import_)
