"""Command round: what is seen in a dome."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.nouns import dome_named, plant_named
from scionary.cli.terminal import day, now, opened, say, say_json, table

if TYPE_CHECKING:
    from datetime import datetime

    from scionary.answers.domes import DomeAnswer
    from scionary.book.models import Nursery

On = Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day (2026-07-31); now when left out.")]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]


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
        say(f"  {step.when:%a} {step.when.day} {step.when:%b %Y}  {mark}  {step.say}. {step.why}")
    for flag in answer.flags:
        say(f"Look: {flag}")


def add_to(program: typer.Typer) -> None:
    program.command("round")(round_)
