"""Command for names in leaf: confirm."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.nouns import plant_named
from scionary.cli.terminal import day, now, opened, say, say_json, table

if TYPE_CHECKING:
    from scionary.answers.leaf_names import LeafNames


def confirm(
    plants: Annotated[
        list[str] | None, typer.Argument(metavar="[PLANT]...", help="Plants whose name was seen to be right, by code or name.")
    ] = None,
    note: Annotated[str, typer.Option(help="A note.")] = "",
    on: Annotated[
        str | None,
        typer.Option(
            "--on", metavar="DATE", help="The day they were seen in leaf (2026-07-31); now when left out, while trees stand in leaf."
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON.")] = False,
) -> None:
    """List plants in leaf whose name is inferred, in doubt or not confirmed; with plants, confirm their names in leaf.

    Example: scionary confirm 'Red Tarn 12' 'Red Tarn 14'
    """
    nursery = opened()
    from scionary.answers.leaf_names import confirm_names, leaf_names
    from scionary.book.commands import noon
    from scionary.book.ids import uuid7

    today = day(on, nursery)
    if plants:
        found = [plant_named(text) for text in plants]
        moment = noon(today, nursery) if on else now()
        given: dict[str, Any] = {"now": now(), "event_id": uuid7(), "note": note, "day_said": on is not None}
        done = confirm_names([plant.pk for plant in found], happened_at=moment, **given)
        if as_json:
            say_json({"confirmed": [plant.spoken for plant in found], "flags": done.flags})
            return
        say(f"Confirmed in leaf: {', '.join(dict.fromkeys(plant.spoken for plant in found))}.")
        for flag in done.flags:
            say(f"Look: {flag}.")
        return
    answer = leaf_names(today=today)
    if as_json:
        say_json(answer.to_dict())
    else:
        _show(answer)


def _show(answer: LeafNames) -> None:
    say(answer.sentence)
    for group in answer.groups:
        say(f"{group.place}: {group.cultivar}{f' ({group.looks})' if group.looks else ''}")
        table(["plant", "its name", "seen in leaf"], [[each.plant.spoken, each.why, each.seen or ""] for each in group.plants])


def add_to(program: typer.Typer) -> None:
    program.command()(confirm)
