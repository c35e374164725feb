"""Find a plant: by a code, by what a person says, by what is still known of one without label, by photographs of labels."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.nameless import Asked, show_nameless
from scionary.cli.photos import show_photos
from scionary.cli.terminal import day, opened, say, say_json, table
from scionary.errors import Refused

if TYPE_CHECKING:
    from datetime import date

    from scionary.answers.find import FindAnswer
    from scionary.answers.wait_advice import Figures, PlantAdvice

On = Annotated[str | None, typer.Option("--on", metavar="DATE", help="As on this day (2026-07-31); today when left out.")]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
_FLAGS_SHOWN = 20  # plants whose flags are spelled out


def find(
    text: Annotated[
        list[str] | None, typer.Argument(metavar="[TEXT]...", help="A code, with ? for what cannot be read, or a name such as Red Tarn 12.")
    ] = None,
    worth: Annotated[float | None, typer.Option(help="What the plant is worth, to say whether to wait.", min=0, max=1e6)] = None,
    place: Annotated[float | None, typer.Option(help="What its place is worth to another plant, a week.", min=0, max=1e6)] = None,
    graft: Annotated[float | None, typer.Option(help="What a new graft costs, scion and work.", min=0, max=1e6)] = None,
    until: Annotated[str | None, typer.Option(metavar="DATE", help="Last day for grafting it again.")] = None,
    nameless: Annotated[
        bool, typer.Option("--nameless", help="Instead: rank the plants by what is still known of one without label.")
    ] = False,
    code: Annotated[str | None, typer.Option(help="With --nameless: its code, seven characters, ? for what cannot be read.")] = None,
    name: Annotated[str | None, typer.Option(help="With --nameless: letters of its name, ? for what cannot be read.")] = None,
    where: Annotated[str | None, typer.Option(help="With --nameless: where it stands, such as 'Dome 2 place 5'.")] = None,
    pot: Annotated[str | None, typer.Option(help="With --nameless: its kind of pot.")] = None,
    grafter: Annotated[str | None, typer.Option(help="With --nameless: who grafted it.")] = None,
    grafted: Annotated[str | None, typer.Option(metavar="DATE", help="With --nameless: about when it was grafted.")] = None,
    within: Annotated[
        float | None, typer.Option(help="With --nameless: that day is right to within so many days; 30 when left out.", min=1, max=3660)
    ] = None,
    height: Annotated[str | None, typer.Option(help="With --nameless: how tall it is, such as '300 mm'.")] = None,
    look: Annotated[
        list[str] | None, typer.Option(metavar="TRAIT=ANSWER", help="With --nameless: what it looks like, such as summer=red; several.")
    ] = None,
    photo: Annotated[
        list[Path] | None, typer.Option("--photo", metavar="FILE", help="Instead: read every label in a photo; more photos may follow.")
    ] = None,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Find a plant by its code or by the name a person says; a bag of scions by its code. Exit code 1 when nobody is found.

    A photo is read and not kept; it may show many labels: scionary find --photo IMG1.jpg IMG2.jpg

    For one plant whose take is not known yet it says whether to wait, to graft again or to give the place up.

    Example: scionary find 'P8?EC?C'
    """
    nursery = opened()
    asked = Asked(code, name, where, pot, grafter, grafted, within, height, look)
    if photo:
        _no_more_beside(asked, worth, place, graft, until, nameless)
        if not show_photos([*photo, *map(Path, text or [])], as_json=as_json):
            raise typer.Exit(1)
        return
    if nameless:
        _no_text_beside(text)
        if not show_nameless(asked, nursery, as_json=as_json):
            raise typer.Exit(1)
        return
    if asked.given:
        raise Refused("these options say what is known of a plant without label.", where="find", remedy="Add --nameless.")
    from scionary.answers.find import find as answer_find
    from scionary.answers.wait_advice import Figures
    from scionary.names import grouped

    answer = answer_find(" ".join(text or []))
    figures = Figures(worth, place, graft, day(until, nursery) if until else None)
    advice = _advice(answer, figures, day(on, nursery))
    if as_json:
        say_json(answer.to_dict() | {"advice": advice.to_dict() if advice else None})
    else:
        say(answer.words)
        for number, step in enumerate(answer.steps, 1):
            say(f"  {number}. {step}")
        table(["plant", "code", "state", "where"], [[p.spoken, grouped(p.code), p.state, p.where] for p in answer.plants])
        for plant in answer.plants[:_FLAGS_SHOWN]:
            for flag in plant.flags:
                say(f"Look: {plant.spoken}: {flag}.")
        if advice is not None:
            _show_advice(advice)
    if not answer.plants and answer.bag is None:
        raise typer.Exit(1)


def _no_text_beside(text: list[str] | None) -> None:
    if text:
        raise Refused(
            "--nameless stands alone.", where="--nameless", remedy="Give what is known with --code, --name, --where and the like."
        )


def _no_more_beside(asked: Asked, *others: object) -> None:
    if asked.given or any(others):
        raise Refused("--photo stands alone.", where="--photo", remedy="Name the photos, and nothing else but --json.")


def _advice(answer: FindAnswer, figures: Figures, today: date) -> PlantAdvice | None:
    """Whether to wait, where the answer is one plant that waits."""
    from scionary.answers.wait_advice import wait_advice
    from scionary.book import queries

    return wait_advice(queries.plant(answer.plant.id), today=today, figures=figures) if answer.plant else None


def _show_advice(advice: PlantAdvice) -> None:
    say(advice.sentence)
    say(f"  {advice.why}")
    say(f"  Worth to expect: {', '.join(f'{words} {value}' for words, value in advice.choices)}.")
    for line in advice.assumptions:
        say(f"  assumes: {line}")
