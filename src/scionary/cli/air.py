"""Command air: a dome's sensors, or any logger's file, with a book or without one."""

from __future__ import annotations

import shlex
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.bookless import with_or_without_book
from scionary.cli.choices import columns_named, light_source
from scionary.cli.nouns import dome_named
from scionary.cli.terminal import check_target, day, now, opened, read_file, say, say_json, write_file
from scionary.errors import Refused

if TYPE_CHECKING:
    from collections.abc import Mapping

    from scionary.answers.air import AirAnswer
    from scionary.book.models import Nursery, Sensor
    from scionary.files.loggers import LoggerFile

_LONGEST_DAYS = 3_660  # ten years
_MOST_OFFSET_PCT = 15.0
_SHOWN = 20


def air(
    file: Annotated[Path | None, typer.Argument(help="A logger's file to judge without reading it into the book.")] = None,
    dome: Annotated[str | None, typer.Option(help="The dome whose sensors are judged.")] = None,
    days: Annotated[float, typer.Option(help="With --dome: how many days back.")] = 7.0,
    beside: Annotated[Path | None, typer.Option(help="A second logger's file from the same dome: compared, and read as one.")] = None,
    offset: Annotated[float, typer.Option(help="Percent to add to the file's humidity, as a salt test found.")] = 0.0,
    salt: Annotated[bool, typer.Option("--salt", help="The file is a salt test: find the humidity sensor's offset.")] = False,
    logger: Annotated[str | None, typer.Option(help="The book's logger that wrote it: its salt tests count; with --salt: kept.")] = None,
    column: Annotated[list[str] | None, typer.Option(metavar="HEADER=WHAT", help="What a column holds: 'Fühler 1=temperature'.")] = None,
    date_order: Annotated[str | None, typer.Option(help="dmy, mdy or ymd, where a file's dates can be read in two ways.")] = None,
    unit: Annotated[str | None, typer.Option(help="C or F, where a file does not say it or is wrong.")] = None,
    light: Annotated[
        str | None,
        typer.Option(
            metavar="SOURCE", help="What shines on a column of light: sun (when left out), blue-sky, or a lamp such as metal-halide."
        ),
    ] = None,
    time_zone: Annotated[str | None, typer.Option(help="The zone of the logger's clock; the book's, else this machine's.")] = None,
    assumptions: Annotated[bool, typer.Option("--assumptions", help="Say every limit that was used, and where it comes from.")] = False,
    out: Annotated[Path | None, typer.Option(help="Also write the report as a PDF.")] = None,
    on: Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day (2026-07-31); now when left out.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON.")] = False,
) -> None:
    """Judge the air of a dome, or any logger's file, for which no book is needed. Exit code 1 when it was not well.

    Example: scionary air logger.csv --out report.pdf
    """
    if (file is None) == (dome is None):
        raise Refused("name either a file or a dome.", where="air", remedy="scionary air --dome 'Dome 1', or scionary air logger.csv.")
    if out is not None:
        check_target(out)
    notes: list[str] = []
    if file is None:
        nursery = opened()
        answer = _air_of_dome(dome or "", nursery, on, days)
    else:
        nursery, book = with_or_without_book(time_zone)
        how = {"columns": columns_named(column), "date_order": date_order, "unit": _unit(unit), "time_zone": nursery.time_zone}
        if salt:
            _show_salt(_read(file, how), nursery, logger, as_json=as_json)
            return
        answer, notes = _air_of_file(
            file, beside, nursery, how, _offset(offset), logger, light_source(light), alone=not book and not time_zone
        )
    if as_json:
        from scionary.answers.air_moisture import moisture_plain

        say_json(
            {
                **answer.to_dict(),
                "moisture": moisture_plain(answer),
                "light": answer.light.to_dict() if answer.light else None,
                "notes": notes,
                "stretches": _stretches(answer),
                **_ahead(answer, nursery, on),
            }
        )
    else:
        command = f"scionary air {shlex.quote(str(file)) if file else f'--dome {shlex.quote(dome or str())}'}"
        _show_air(answer, nursery, notes, assumptions=assumptions, command=command)
        _show_ahead(_ahead(answer, nursery, on))
    if out is not None:
        from scionary.answers.air_paper import air_pdf

        write_file(out, air_pdf(answer, nursery, notes=notes, today=now().astimezone(nursery.zone)), quiet=as_json)
    if any(episode.kind in ("heat", "dry") for episode in answer.episodes):
        raise typer.Exit(1)


def _unit(typed: str | None) -> str | None:
    if typed is None or typed.strip().upper() in ("C", "F"):
        return typed.strip().upper() if typed else None
    raise Refused(f"{typed!r} is no unit of temperature.", where="--unit", remedy="Write C or F.")


def _offset(percent: float) -> float:
    if not -_MOST_OFFSET_PCT <= percent <= _MOST_OFFSET_PCT:
        raise Refused(f"{percent:g} %.", where="--offset", remedy=f"Give {-_MOST_OFFSET_PCT:g} to {_MOST_OFFSET_PCT:g}, as --salt found.")
    return percent


def _read(path: Path, how: Mapping[str, Any]) -> LoggerFile:
    from scionary.files.loggers import read_logger

    return read_logger(read_file(path), name=path.name, **how)


def _air_of_dome(name: str, nursery: Nursery, on: str | None, days: float) -> AirAnswer:
    from datetime import timedelta

    from scionary.answers.air import air_of_dome
    from scionary.book.commands import noon

    end = min(noon(day(on, nursery), nursery) + timedelta(hours=12), now().astimezone(nursery.zone))
    if not 0 < days <= _LONGEST_DAYS:
        raise Refused(f"{days:g} days.", where="--days", remedy=f"Give a number of days above zero, up to {_LONGEST_DAYS}.")
    found = air_of_dome(dome_named(name), nursery, end=end, days=days)
    if found is None:
        raise Refused(
            "no sensor is known for this dome.", where=name, remedy="Read its file in: scionary import FILE --as logger --dome NAME."
        )
    return found


def _air_of_file(
    path: Path,
    beside: Path | None,
    nursery: Nursery,
    how: Mapping[str, Any],
    offset: float,
    logger: str | None,
    source: str,
    *,
    alone: bool,
) -> tuple[AirAnswer, list[str]]:
    """The file judged, with notes of how it was read; `alone` without a book or a zone that was typed."""
    from scionary.answers.air import air_of_readings
    from scionary.answers.air_files import clock_note, held_beside, notes_of, tested, with_offset
    from scionary.answers.air_light import daylight_of

    read = _read(path, how)
    columns = with_offset(read, offset)
    said = None
    notes = [*([clock_note(read, nursery)] if alone else []), *notes_of(read, offset)]
    if logger is not None:
        columns, added = tested(columns, _logger(logger, offset), nursery)
        notes += added
    if beside is not None:
        second = _read(beside, how)
        columns, said = held_beside(path.name, columns, beside.name, with_offset(second, 0.0), nursery)
        notes += notes_of(second, 0.0)
    answer = air_of_readings(path.name, *columns, nursery, beside=said)
    return replace(answer, light=daylight_of(read, nursery, source)), notes


def _stretches(answer: AirAnswer) -> list[dict[str, Any]]:
    from scionary.answers.air_stood import stood_by_stretch

    stood = stood_by_stretch(answer.dome, [(episode.begin, episode.end) for episode in answer.episodes])
    return [
        {
            "kind": episode.kind,
            "from": episode.begin.isoformat(),
            "to": episode.end.isoformat(),
            "hours": episode.hours,
            "words": episode.sentence,
            **(stood[number].to_dict() if number in stood else {}),
        }
        for number, episode in enumerate(answer.episodes)
    ]


def _logger(name: str, offset: float = 0.0) -> Sensor:
    """The book's logger; what its salt tests found and an offset that was typed cannot both be added."""
    from scionary.answers.salt_tests import logger_called

    if offset:
        raise Refused("both an offset and a logger are named.", where="--offset", remedy="Leave one of --offset and --logger out.")
    opened()
    return logger_called(name)


def _show_salt(read: LoggerFile, nursery: Nursery, logger: str | None, *, as_json: bool) -> None:
    from scionary.answers.air_files import salt_test_of

    found = salt_test_of(read)
    kept = _keep_salt(read, nursery, logger) if logger is not None else ""
    if as_json:
        say_json({**found.to_dict(), "kept": kept})
        return
    say(f"Add {found.offset_pct:+.1f} % to this sensor's humidity, give or take {found.doubt_pct:.1f} %.")
    should = f"Over wet table salt it should read {found.expected_pct:.1f} % at {found.temperature_c:.1f} °C"
    say(f"{should}, and it read {found.read_pct:.1f} %.")
    say("The test knows the offset at 75 %; that it is the same near 100 % is an assumption.")
    say(kept or f"Judge its log with: scionary air LOG.csv --offset {found.offset_pct:.1f}")


def _keep_salt(read: LoggerFile, nursery: Nursery, logger: str) -> str:
    """Keep what the test found with the logger, from the day on which the test ended."""
    from scionary.answers.air_files import keep_salt_file

    return keep_salt_file(read, _logger(logger), nursery, now=now())


def _show_air(answer: AirAnswer, nursery: Nursery, notes: list[str], *, assumptions: bool, command: str) -> None:
    from scionary.answers.air import limits_said
    from scionary.answers.air_paper import facts_of
    from scionary.answers.air_stood import stood_by_stretch

    say(answer.sentence)
    say(answer.why)
    for words in filter(None, [*(answer.beside.sentences if answer.beside else ()), answer.salt, *notes]):
        say(words)
    for fact in facts_of(answer, nursery, now=now()):
        say(f"  {fact.what}: {fact.value}{f'  ({fact.why})' if fact.why else ''}")
    stood = stood_by_stretch(answer.dome, [(episode.begin, episode.end) for episode in answer.episodes])
    for number, episode in enumerate(answer.episodes[:_SHOWN]):
        say(f"  {episode.sentence}")
        if number in stood:
            say(f"    {stood[number].words} {stood[number].names}".rstrip())
    if len(answer.episodes) > _SHOWN:
        say(f"  … and {len(answer.episodes) - _SHOWN} more; --json has all.")
    if not answer.report:
        return
    if not assumptions:
        say(f"Limits are assumptions: {command} --assumptions")
        return
    for words, value, source in limits_said(answer, nursery):
        say(f"  assumes: {words} {value} ({source})")


def _ahead(answer: AirAnswer, nursery: Nursery, on: str | None) -> dict[str, Any]:
    """What the dome will do tomorrow and how to open it, where the book's weather and log tell; empty for a file."""
    if answer.dome is None:
        return {}
    from scionary.answers.dome_model import learn_few_fits
    from scionary.answers.dome_opening import opening_of
    from scionary.answers.dome_outlook import outlook_of
    from scionary.answers.domes import dome_answer

    learn_few_fits()
    today = day(on, nursery)
    dome = dome_answer(answer.dome.pk, today=today)
    outlook = outlook_of(dome.dome, dome.state, nursery, today=today)
    opening = opening_of(dome, nursery, today=today)
    return {"tomorrow": outlook.to_dict() if outlook else None, "vent_steps": opening.to_dict() if opening else None}


def _show_ahead(ahead: dict[str, Any]) -> None:
    if not ahead:
        return
    if ahead["tomorrow"] is None:
        say("The book holds no weather that says what this dome will do tomorrow.")
    else:
        told = ahead["tomorrow"]
        say("Tomorrow:")
        for words in filter(None, (told["sentence"], told["why"], told["water"], f"Rests on: {told['rests_on']}.")):
            say(f"  {words}")
    for step in ahead["vent_steps"] or ():
        say(f"  {step['say']}. {step['why']}")


def add_to(program: typer.Typer) -> None:
    program.command()(air)
