"""Commands for the healing air: round, air."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.nouns import dome_named, plant_named
from scionary.cli.terminal import day, now, opened, read_file, say, say_json, table
from scionary.errors import Refused

if TYPE_CHECKING:
    from datetime import datetime

    from scionary.answers.air import AirAnswer
    from scionary.answers.domes import DomeAnswer
    from scionary.book.models import Nursery

On = Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day (2026-07-31); now when left out.")]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
_LONGEST_DAYS = 3_660  # ten years


def round_(
    dome: Annotated[str, typer.Argument(help="The dome, by its name.")],
    seen: Annotated[
        list[str] | None,
        typer.Argument(metavar="[PLANT=WHAT]...", help="What was seen: 'Red Tarn 1=firm', '3=lost' by place, 'rest=firm' for all others."),
    ] = None,
    water: Annotated[bool, typer.Option("--water", help="Water was topped up.")] = False,
    vent: Annotated[float | None, typer.Option(help="Vents now open by so many percent.")] = None,
    note: Annotated[str, typer.Option(help="A note on the dome.")] = "",
    on: On = None,
    as_json: Json = False,
) -> None:
    """Look at a dome, or write down what a round has seen; all of it or nothing.

    WHAT is one of: firm, not-firm, unsure, growing, in-leaf, not-in-leaf, drops, stays, bud, wilting, mould, missing, unchanged, lost.

    Example: scionary round 'Dome 1' '1=firm' '2=firm' '3=lost' --water
    """
    nursery = opened()
    from scionary.answers.rounds import RoundWords, write_round

    chosen = dome_named(dome)
    today = day(on, nursery)
    flags: list[str] = []
    if seen or water or vent is not None or note:
        words = RoundWords(tuple(seen or ()), water=water, open_pct=vent, note=note)
        flags = write_round(chosen, words, happened_at=_moment(on, nursery), now=now(), plant_of=lambda text: plant_named(text))
    from scionary.answers.domes import dome_answer

    answer = dome_answer(chosen.pk, today=today)
    if as_json:
        say_json({**answer.to_dict(), "plants": _plants(answer), "written_flags": flags})
        return
    _show(answer)
    for flag in flags:
        say(f"Look: {flag}")


def _moment(on: str | None, nursery: Nursery) -> datetime:
    from scionary.book.commands import noon

    return noon(day(on, nursery), nursery) if on else now()


def _plants(answer: DomeAnswer) -> list[dict[str, Any]]:
    return [
        {
            "place": pot.place,
            "name": pot.plant.spoken,
            "state": pot.plant.state,
            "cautions": pot.plant.cautions,
            "ring": {"low": pot.ring.low, "mid": pot.ring.mid, "high": pot.ring.high},
        }
        for pot in answer.pots
        if pot.plant and pot.ring
    ]


def _show(answer: DomeAnswer) -> None:
    say(answer.title)
    if answer.words:
        say(f"Likely alive: {answer.words}.")
    table(["place", "plant and chance"], [[pot.place, pot.ring.words] for pot in answer.pots if pot.plant and pot.ring], right=(0,))
    for step in answer.steps:
        mark = "done" if step.done else "    "
        say(f"  {step.when:%a %d %b %Y}  {mark}  {step.say}. {step.why}")
    for flag in answer.flags:
        say(f"Look: {flag}")


def air(
    file: Annotated[Path | None, typer.Argument(help="A logger's file to judge without reading it into the book.")] = None,
    dome: Annotated[str | None, typer.Option(help="The dome whose sensor is judged.")] = None,
    days: Annotated[float, typer.Option(help="How many days back.")] = 7.0,
    date_order: Annotated[str | None, typer.Option(help="dmy, mdy or ymd, where a file's dates can be read in two ways.")] = None,
    assumptions: Annotated[bool, typer.Option("--assumptions", help="Say every limit that was used, and where it comes from.")] = False,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Judge the air of a dome: heat, dryness, gaps. Exit code 1 when it was not well.

    Example: scionary air --dome 'Dome 1'
    """
    nursery = opened()
    if (file is None) == (dome is None):
        raise Refused("name either a file or a dome.", where="air", remedy="scionary air --dome 'Dome 1', or scionary air logger.csv.")
    answer = _air_of_file(file, nursery, date_order) if file else _air_of_dome(dome or "", nursery, on, days)
    if as_json:
        say_json(answer.to_dict())
    else:
        command = f"scionary air {shlex.quote(str(file)) if file else f'--dome {shlex.quote(dome or str())}'}"
        _show_air(answer, nursery, assumptions=assumptions, command=command)
    if any(episode.kind in ("heat", "dry") for episode in answer.episodes):
        raise typer.Exit(1)


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


def _air_of_file(path: Path, nursery: Nursery, date_order: str | None) -> AirAnswer:
    from scionary.answers.air import air_of_readings
    from scionary.files.loggers import read_logger

    found = read_logger(read_file(path), name=path.name, time_zone=nursery.time_zone, date_order=date_order)
    return air_of_readings(path.name, found.time_s, found.temperature_c, found.relative_humidity_pct, nursery)


def _show_air(answer: AirAnswer, nursery: Nursery, *, assumptions: bool, command: str) -> None:
    from scionary.answers.air import limits_said

    say(answer.sentence)
    say(answer.why)
    for episode in answer.episodes[:20]:
        say(f"  {episode.sentence}")
    if len(answer.episodes) > 20:
        say(f"  … and {len(answer.episodes) - 20} more; --json has all.")
    if not answer.report:
        return
    if not assumptions:
        say(f"Limits are assumptions: {command} --assumptions")
        return
    for words, value, source in limits_said(answer, nursery):
        say(f"  assumes: {words} {value} ({source})")


def add_to(program: typer.Typer) -> None:
    program.command("round")(round_)
    program.command()(air)
