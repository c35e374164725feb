"""Commands for names: alike, two, join, undo, show, add, remove."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.terminal import now, opened, say, say_json, table
from scionary.errors import Refused, UnknownSubject

if TYPE_CHECKING:
    from uuid import UUID

    from scionary.answers.joins import Join
    from scionary.book.models import Cultivar

Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
Name = Annotated[str, typer.Argument(help="A cultivar, by its own name or another one.")]

names = typer.Typer(name="names", no_args_is_help=True, help="Names: what else a cultivar is called, and two names that are one.")


@names.command()
def alike(as_json: Json = False) -> None:
    """List the cultivars that may be one, with what each has.

    Example: scionary names alike
    """
    opened()
    from scionary.answers.alike import alike as pairs_of_book
    from scionary.answers.alike import left_behind

    pairs, left = pairs_of_book(), left_behind()
    if as_json:
        say_json({"pairs": [pair.to_dict() for pair in pairs], "since_joined": [each.words for each in left]})
        return
    say(f"{len(pairs)} {'pair' if len(pairs) == 1 else 'pairs'} of names may be one." if pairs else "No two names look like one.")
    both = [[pair.first.spoken, pair.first.has, pair.second.spoken, pair.second.has, pair.why] for pair in pairs]
    if both:
        table(["name", "has", "other name", "has", "why"], both)
        say("If they are one: scionary names join KEEP GIVE-UP --look. If not: scionary names two NAME NAME.")
    for each in left:
        say(f"Look: since the names were joined came in: {each.words}. Join them again.")


@names.command()
def two(
    first: Name,
    second: Name,
    again: Annotated[bool, typer.Option("--again", help="Take that back: they may be one.")] = False,
    as_json: Json = False,
) -> None:
    """Remember that two names are two cultivars, so that they are not offered again.

    Example: scionary names two 'Red Tarn' 'Red Tarn Dwarf'
    """
    opened()
    from scionary.answers.alike import they_are_two, told_two
    from scionary.answers.undoing import undo_all

    one, other = _cultivar(first), _cultivar(second)
    if again:
        told = told_two().get(frozenset((one.pk, other.pk)))
        if told is None:
            raise Refused("nobody said of these that they are two.", where="names", remedy="Nothing is to be taken back.")
        undo_all([told], now=now())
    else:
        they_are_two(one.pk, other.pk, now=now())
    if as_json:
        say_json({"names": [one.spoken, other.spoken], "two": not again})
        return
    say(f"{one} and {other} {'may be one: they are offered again' if again else 'are two, and are not offered again'}.")


@names.command("join")
def join_(
    keep: Annotated[str, typer.Argument(help="The name that is kept.")],
    give_up: Annotated[str, typer.Argument(help="The name that is given up; it goes on finding the other.")],
    look: Annotated[bool, typer.Option("--look", help="Only say what would change; write nothing.")] = False,
    as_json: Json = False,
) -> None:
    """Make two names of one cultivar one: plants, trees, bags, wishes and all else; or see first what would change.

    Example: scionary names join 'Red Tarn' 'Red Tran' --look
    """
    opened()
    from scionary.answers.join_look import look_at_join
    from scionary.answers.joining import join

    kept, given = _cultivar(keep), _cultivar(give_up, itself=True)
    seen = look_at_join(kept.pk, given.pk, now=now())
    done = None if look else join(kept.pk, given.pk, now=now(), seen=seen.seen)
    if as_json:
        say_json({**seen.to_dict(), "written": done is not None})
        return
    say(f"{seen.sentence}{'' if done else ' Nothing is written yet.'}")
    for words in seen.cautions:
        say(f"Look: {words}")
    for words in seen.taken_over_words:
        say(f"  {kept} takes over {words}")
    if seen.plants:
        rows = [[each.before, each.after, "write again" if each.labelled else each.plant.get_state_display()] for each in seen.plants]
        table(["before", "then", "label"], rows)
    if done:
        say(f"{done.words}. To take them apart again: scionary names undo '{given}'")


@names.command()
def undo(
    name: Annotated[str, typer.Argument(help="Either name of a joining; its last one is undone.")],
    as_json: Json = False,
) -> None:
    """Take two names apart again: plants and rows are named as before.

    Example: scionary names undo 'Red Tran'
    """
    opened()
    from scionary.answers.joining import take_apart

    done = take_apart(_last_join(name).ident, now=now())
    if as_json:
        say_json({"kept": done.join.kept, "given_up": done.join.given, "stays": done.words, "flags": done.flags})
        return
    say(f"{done.join.given} and {done.join.kept} are two again.")
    for words in done.words:
        say(f"Look: {words}")
    for flag in done.flags:
        say(f"Look: {flag}.")


@names.command()
def show(name: Name, as_json: Json = False) -> None:
    """What else a cultivar is called, what was joined, and which labels still say another name.

    Example: scionary names show 'Red Tarn'
    """
    opened()
    from scionary.answers.joins import joins_of
    from scionary.answers.other_names import other_names

    cultivar = _cultivar(name)
    others, joins = other_names(cultivar), joins_of(cultivar)
    wrong = _labels_to_write([join for join in joins if join.stands])
    if as_json:
        listed = [{"name": other.name, "kind": other.kind} for other in others]
        told = [{"words": join.words, "at": join.at, "undone_at": join.undone_at} for join in joins]
        say_json({"cultivar": cultivar.spoken, "others": listed, "joins": told, "labels": wrong})
        return
    say(f"{cultivar}: {', '.join(f'{other} ({other.get_kind_display()})' for other in others) or 'no other name'}.")
    for join in joins:
        undone = f", and taken apart again on {join.undone_at:%Y-%m-%d}" if join.undone_at else ""
        say(f"{join.at:%Y-%m-%d}: {join.words}{undone}.")
    if wrong:
        table(["the label says", "it is"], [[each["says"], each["is"]] for each in wrong])


@names.command()
def add(
    cultivar: Name,
    name: Annotated[str, typer.Argument(help="What it is also called, or how it is misspelt.")],
    misspelt: Annotated[bool, typer.Option("--misspelt", help="It is a misspelling.")] = False,
    as_json: Json = False,
) -> None:
    """Let a cultivar be found by one more name.

    Example: scionary names add 'Red Tarn' 'Tarn Blush'
    """
    opened()
    from scionary.answers.other_names import add_other_name

    found = _cultivar(cultivar)
    made = add_other_name(found, name, "misspelling" if misspelt else "synonym", now=now())
    if as_json:
        say_json({"cultivar": found.spoken, "name": made.name, "kind": made.kind})
        return
    say(f"{found} is also found as {made}.")


@names.command()
def remove(
    name: Annotated[str, typer.Argument(help="The other name that is no longer to find its cultivar.")], as_json: Json = False
) -> None:
    """Take another name of a cultivar away; that it was stays in the book.

    Example: scionary names remove 'Tarn Blush'
    """
    opened()
    from scionary.answers.other_names import other_name_called, take_away

    gone = take_away(other_name_called(name).pk, now=now())
    if as_json:
        say_json({"cultivar": gone.cultivar.spoken, "name": gone.name})
        return
    say(f"{gone} no longer finds {gone.cultivar}.")


def _cultivar(name: str, *, itself: bool = False) -> Cultivar:
    """The cultivar of this name; `itself`: the one that bears it, although it was given up for another."""
    from scionary.answers.called import called
    from scionary.book.called import names_of_book, spelling
    from scionary.book.models import Cultivar

    given_up = names_of_book().gone.get(spelling(name)) if itself else None
    if given_up is not None:
        return Cultivar.objects.get(pk=given_up.cultivar)
    found = called(name)
    if found.cultivar is None:
        meant = f"Did you mean {' or '.join(found.near)}?" if found.near else "Write it as it stands in the book."
        raise UnknownSubject(f"the book holds no {found.typed[:60]!r}.", where="cultivar", remedy=meant)
    return found.cultivar


def _last_join(name: str) -> Join:
    """The last joining that stands and had this name in it."""
    from scionary.answers.joins import all_joins
    from scionary.book.called import spelling

    key = spelling(name)
    found = next((join for join in all_joins() if join.stands and key in (spelling(join.kept), spelling(join.given))), None)
    if found is None:
        raise UnknownSubject(f"nothing was joined with {name[:60]!r}.", where="names", remedy="See: scionary names show NAME.")
    return found


def _labels_to_write(joins: list[Join]) -> list[dict[str, Any]]:
    from scionary.answers.joins import plants_of
    from scionary.answers.labelled import wrong_labels
    from scionary.book import queries

    moved: set[UUID] = {each.plant for join in joins for each in plants_of(join)}
    plants = list(queries.plants().filter(pk__in=moved).order_by("cultivar__spoken", "running_number"))
    wrong = wrong_labels(plants)
    return [{"says": wrong[plant.pk], "is": plant.spoken} for plant in plants if plant.pk in wrong]


def add_to(program: typer.Typer) -> None:
    program.add_typer(names)
