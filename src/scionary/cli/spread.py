"""Command for what plants shared: spread."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.terminal import day, now, opened, say, say_aside, say_json, table
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.marking import Mark, Marked
    from scionary.answers.spread import SpreadAnswer, SpreadQuestion
    from scionary.answers.things import Thing
    from scionary.book.models import Nursery

_SHOWN = 40


def spread(
    thing: Annotated[str, typer.Argument(help="A plant by code or name, or a mother tree, bag, stock lot or dome by its name.")],
    back: Annotated[bool, typer.Option("--back", help="Where it could have come from, instead of what could have caught it.")] = False,
    name: Annotated[bool, typer.Option("--name", help="A wrong name is feared, not a sickness: it follows the wood.")] = False,
    by: Annotated[str | None, typer.Option(help="Only by these: wood, stock, blade, cover, treated, bench, with commas between.")] = None,
    since: Annotated[str | None, typer.Option(metavar="DATE", help="Only since this day (with --back: until it).")] = None,
    every: Annotated[bool, typer.Option("--all", help=f"List all plants, not the first {_SHOWN}.")] = False,
    quarantine: Annotated[str | None, typer.Option(metavar="REASON", help="Set all of them in quarantine, for this reason.")] = None,
    release: Annotated[str | None, typer.Option(metavar="REASON", help="Release all of them from quarantine.")] = None,
    doubt: Annotated[str | None, typer.Option(metavar="REASON", help="Write their names down as in doubt.")] = None,
    end_doubt: Annotated[str | None, typer.Option("--end-doubt", metavar="REASON", help="End the doubt in their names.")] = None,
    of: Annotated[
        str | None, typer.Option(metavar="REASON", help="With --release or --end-doubt: only what stands for this reason.")
    ] = None,
    look: Annotated[bool, typer.Option("--look", help="Only say how many would be written about.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON.")] = False,
) -> None:
    """What could have caught it from here, or where it could have come from, over all that plants shared.

    Example: scionary spread 'Red Tarn 12' --back
    """
    nursery = opened()
    from scionary.answers.marking import Mark
    from scionary.answers.spread import spread as follow

    marks = {Mark.QUARANTINE: quarantine, Mark.RELEASE: release, Mark.DOUBT: doubt, Mark.END_DOUBT: end_doubt}
    wanted = {mark: reason for mark, reason in marks.items() if reason is not None}
    if len(wanted) > 1:
        raise Refused("several things are to be written down at once.", where="spread", remedy="Give one of them.")
    asked = _question(thing, nursery, back=back, name=name or doubt is not None or end_doubt is not None, by=by, since=since)
    answer = follow(asked, nursery)
    done = _mark(answer, nursery, *wanted.popitem(), of=of) if wanted and not look else None
    if as_json:
        say_json(_plain(answer, done))
    else:
        _show(answer, done, most=len(answer.plants) if every else _SHOWN)
        if wanted:
            _foretell(answer, *wanted.popitem())
    if not answer.reached and done is None:
        raise typer.Exit(1)


def _question(thing: str, nursery: Nursery, *, back: bool, name: bool, by: str | None, since: str | None) -> SpreadQuestion:
    from scionary.answers.contact_map import Way
    from scionary.answers.spread import Ask, SpreadQuestion, usual_ways
    from scionary.answers.things import thing_called

    ask, key = Ask.NAME if name else Ask.SICKNESS, thing_called(thing)
    words = [word.strip() for word in by.split(",")] if by else [way.value for way in usual_ways(ask, key)]
    known = {way.value: way for way in Way}
    if unknown := [word for word in words if word not in known]:
        raise Refused(f"{unknown[0]!r} is no way to pass on.", where="--by", remedy=f"Give some of {', '.join(known)}.")
    ways = tuple(way for way in Way if way.value in words)
    edge = day(since, nursery) if since else None
    if edge is not None and edge > day(None, nursery):
        raise Refused(f"{edge.isoformat()} is still to come.", where="--since", remedy="Give today or an earlier day.")
    return SpreadQuestion(key, ask, back, ways, edge)


def _mark(answer: SpreadAnswer, nursery: Nursery, mark: Mark, reason: str, *, of: str | None) -> tuple[Mark, Marked]:
    from scionary.answers.marking import mark_set

    def tell(fraction: float, word: str) -> None:
        if fraction < 1:
            say_aside(f"  {word}")

    moment = now()
    return mark, mark_set(answer.question, mark, reason, nursery=nursery, happened_at=moment, now=moment, of=of, progress=tell)


def _foretell(answer: SpreadAnswer, mark: Mark, reason: str) -> None:
    """What would be written down, without doing it."""
    from scionary.answers.marking import MARK_WORDS, Mark, reasons, would_change

    if mark in (Mark.QUARANTINE, Mark.DOUBT):
        say(f"Would be written down for {would_change(answer, mark).words}: {MARK_WORDS[mark]}, {reason}.")
        return
    for why, each in reasons(answer, mark).items():
        say(f"Would be written down for {each.words}: {MARK_WORDS[mark]} ({why}).")


def _show(answer: SpreadAnswer, done: tuple[Mark, Marked] | None, *, most: int) -> None:
    say(answer.sentence)
    keys = [*answer.sources, *(f"plant:{plant}" for plant in answer.plants[:most])]
    ways = answer.ways_to(keys)
    end = 0 if answer.question.back else -1
    rows = [[ways[key][end].words, _state(ways[key][end]), _through(ways[key][1:-1])] for key in keys]
    if rows:
        table(["what", "state", "through"], rows)
    if len(answer.plants) > most:
        say(f"  … and {len(answer.plants) - most} more: --all")
    if answer.reached:
        say("What could be, not what is: each contact is taken to pass it on, and only what is written down counts.")
    if done:
        from scionary.answers.marking import MARK_WORDS

        mark, marked = done
        undo = " Undo it in the story of one of the plants." if marked.plants and len(marked.events) == 1 else ""
        say(f"Written down for {marked.words}: {MARK_WORDS[mark]}.{undo}")


def _state(thing: Thing) -> str:
    from scionary.answers.things import NOUN_WORDS

    return str(thing.plant.get_state_display()) if thing.plant is not None else NOUN_WORDS[thing.noun]


def _through(way: list[Thing]) -> str:
    return " → ".join(step.words for step in way) or "straight"


def _plain(answer: SpreadAnswer, done: tuple[Mark, Marked] | None) -> dict[str, Any]:
    keys = [*answer.sources, *(f"plant:{plant}" for plant in answer.plants)]
    ways = answer.ways_to(keys)
    end = 0 if answer.question.back else -1
    reached = [
        {"key": key, "name": ways[key][end].words, "state": _state(ways[key][end]), "way": [step.words for step in ways[key]]}
        for key in keys
    ]
    told = {"begin": answer.begin.words, "sentence": answer.sentence, "reached": reached}
    return told | ({"written": done[0].value, "about": done[1].plants, "events": done[1].events} if done else {})


def add_to(program: typer.Typer) -> None:
    program.command()(spread)
