"""Commands in the yard: what each mother tree may give, and cutting sticks into a bag."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.choices import care_meant
from scionary.cli.terminal import day, now, opened, say, say_json, table
from scionary.errors import Refused

if TYPE_CHECKING:
    from datetime import datetime

    from scionary.answers.yard import Yard
    from scionary.book.models import Nursery

Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]

yard = typer.Typer(
    name="yard",
    invoke_without_command=True,
    help="Sticks: how many each mother tree may give today, and what lies in bags.\n\nExample: scionary yard",
)


@yard.callback()
def listing(context: typer.Context, as_json: Json = False) -> None:
    """Say how many sticks each mother tree may give today, and what lies in bags."""
    if context.invoked_subcommand is not None:
        return
    nursery = opened()
    from scionary.answers.yard import yard as yard_today

    answer = yard_today(nursery, now=now())
    if as_json:
        say_json(answer.to_dict())
    else:
        _show(answer)


@yard.command()
def cut(
    tree: Annotated[str, typer.Argument(help="The mother tree, by its name, or by its cultivar where only one tree is of it.")],
    sticks: Annotated[int, typer.Argument(help="How many sticks.", min=1, max=10_000)],
    care: Annotated[str, typer.Option(help="What was done with the leaves: stalks-left, half-blades, whole-leaves or dormant.")] = "",
    stands: Annotated[str, typer.Option(help="Where the bag is kept.")] = "",
    name: Annotated[str, typer.Option(help="The bag's name; left out: cultivar, day and time.")] = "",
    note: Annotated[str, typer.Option(help="A note.")] = "",
    on: Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day (2026-07-31); now when left out.")] = None,
    at: Annotated[str | None, typer.Option("--at", metavar="TIME", help="The time of that day (7:30).")] = None,
    as_json: Json = False,
) -> None:
    """Write down sticks that were cut: the bag gets a name and a code of its own.

    Example: scionary yard cut 'Tree 1' 12 --care stalks-left
    """
    nursery = opened()
    from scionary.answers.yard import bag_line, tree_line, tree_named
    from scionary.book.bags import Cut, cut_scions

    moment, exact = _moment(on, at, nursery)
    found = tree_line(tree_named(tree).pk, nursery, now=now())
    done = cut_scions(Cut(found.tree, sticks, moment, exact, care_meant(care), stands, name, note), nursery, now=now())
    line = bag_line(done.bag.pk, nursery, now=now())
    if as_json:
        say_json(line.to_dict() | {"flags": list(done.flags)})
        return
    say(f"Write on the bag: {line.bag.cultivar}, {line.sticks} {'stick' if line.sticks == 1 else 'sticks'}  {line.code}")
    say(f"  {line.bag.name}, {line.age}, from {found.tree}")
    for words in (*found.cautions, *(f"Flagged: {flag}." for flag in done.flags)):
        say(f"Look: {words}")
    if found.left is not None and sticks > found.left:
        say(f"Look: {found.tree} gives {found.tree.sticks_a_season} a season, and {found.cut + sticks} are cut now.")


def _moment(on: str | None, at: str | None, nursery: Nursery) -> tuple[datetime, bool]:
    """When it was cut, and whether that is known to the minute."""
    from datetime import datetime, time

    from scionary.book.commands import noon

    this, on_day = now(), day(on, nursery)
    try:
        clock = time.fromisoformat(at.strip().zfill(5)) if at else None
    except ValueError:
        raise Refused(f"{at!r} is no time of day.", where="--at", remedy="Write it like 7:30.") from None
    today = this.astimezone(nursery.zone).date()
    moment = datetime.combine(on_day, clock, nursery.zone) if clock else this if on_day == today else noon(on_day, nursery)
    if moment > this:
        raise Refused("that lies ahead.", where="--on" if on else "--at", remedy="Give when it was cut.")
    return moment, clock is not None or on_day == today


def _show(answer: Yard) -> None:
    say(answer.year_words)
    if answer.trees:
        rows = [
            [line.tree.name, line.tree.cultivar.spoken, "?" if line.left is None else line.left, line.cut, line.wanted.words]
            for line in answer.trees
        ]
        table(["mother tree", "cultivar", "left", "cut", "plan"], rows, right=(2, 3))
    else:
        say("The book knows no mother tree yet; write one down under Book on the pages, or with the bench: --tree.")
    for tree in answer.trees:
        for words in tree.cautions:
            say(f"Look: {words}")
    if answer.bags:
        table(["bag", "code", "what is in it"], [[line.bag.name, line.code or "code pending", line.words] for line in answer.bags])
    for bag in answer.bags:
        for words in bag.cautions:
            say(f"Look: {words}")
    for words in answer.assumed:
        say(f"  assumes: {words}")


def add_to(program: typer.Typer) -> None:
    program.add_typer(yard)
