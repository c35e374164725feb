"""Command for plants that leave: leave."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.nouns import plant_named
from scionary.cli.terminal import day, now, opened, say, say_json
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.sale_gate import Held

_HOW = ("sale", "gift", "other")


def leave(
    plants: Annotated[list[str], typer.Argument(metavar="PLANT...", help="Plants that leave, by code or name: 'Red Tarn 12'.")],
    how: Annotated[str, typer.Option(help="sale, gift or other.")] = "sale",
    price: Annotated[float | None, typer.Option(help="What each brought.", min=0, max=1e6)] = None,
    note: Annotated[str, typer.Option(help="A note.")] = "",
    confirm: Annotated[bool, typer.Option("--confirm", help="You have seen each in leaf on that day: its name is right.")] = False,
    leave_out: Annotated[bool, typer.Option("--leave-out", help="Leave out those whose name is not confirmed, or in quarantine.")] = False,
    all_the_same: Annotated[bool, typer.Option("--all-the-same", help="Record those too; they are flagged.")] = False,
    on: Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day (2026-07-31); now when left out.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON.")] = False,
) -> None:
    """Write down that plants are sold or given away; a name that is not confirmed in leaf, or a quarantine, is asked about first.

    Example: scionary leave 'Red Tarn 12' 'Ash Gill 3' --how sale --price 45
    """
    nursery = opened()
    from scionary.answers.sale_gate import asked_mark, held_back, write_leaving
    from scionary.book import queries
    from scionary.book.commands import noon
    from scionary.book.ids import uuid7

    if how not in _HOW:
        raise Refused(f"{how!r} is no way to leave.", where="--how", remedy=f"Give one of {', '.join(_HOW)}.")
    named = [plant_named(text) for text in dict.fromkeys(plants)]
    found = list(queries.plants().filter(pk__in=[plant.pk for plant in named]))
    payload: dict[str, Any] = {"how": how, "price": price, "note": note}
    moment = noon(day(on, nursery), nursery) if on else now()
    held = held_back(found, payload, moment, nursery)
    decided = _decided(held, confirm=confirm, leave_out=leave_out, all_the_same=all_the_same)
    done = write_leaving(found, payload, decided, nursery, happened_at=moment, now=now(), event_id=uuid7(), asked=asked_mark(held))
    after = list(queries.plants().filter(pk__in=done.gone))
    if as_json:
        say_json({"left": [{"name": plant.spoken, "flags": plant.flags} for plant in after], "words": done.words})
        return
    say(f"Written down as leaving: {', '.join(plant.spoken for plant in after) or 'none'}.")
    for words in done.words:
        say(words)
    for plant in after:
        for flag in plant.flags:
            say(f"Look: {plant.spoken}: {flag}.")


def _decided(held: list[Held], *, confirm: bool, leave_out: bool, all_the_same: bool) -> dict[str, str]:
    """An answer for each group, by the options; refused where one is left open."""
    from scionary.answers.sale_gate import ALL_THE_SAME, CONFIRM, LEAVE_OUT

    wanted = [answer for answer, given in ((CONFIRM, confirm), (LEAVE_OUT, leave_out), (ALL_THE_SAME, all_the_same)) if given]
    decided = {}
    for each in held:
        answer = next((answer for answer in wanted if answer in dict(each.choices)), None)
        if answer is None:
            offered = [f"--{choice.replace('_', '-')}" for choice, _ in each.choices]
            why = "; ".join(f"{plant.spoken}: {words}" for plant, words in each.plants)
            raise Refused(
                f"{each.sentence} {why}.{f' {each.note}' if each.note else ''}",
                where="leave",
                remedy=f"Add one of {', '.join(offered)}. Nothing is written down yet.",
            )
        decided[each.key] = answer
    return decided


def add_to(program: typer.Typer) -> None:
    program.command()(leave)
