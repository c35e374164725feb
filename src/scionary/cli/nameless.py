"""What `find --nameless` shows: the plants that one without its label may be, by all that is still known of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.cli.terminal import day, say, say_json, table
from scionary.errors import BadValue, Refused

if TYPE_CHECKING:
    from scionary.answers.nameless import NamelessAnswer
    from scionary.book.models import Nursery


@dataclass(frozen=True)
class Asked:
    """The options as typed; None where one was left out."""

    code: str | None
    name: str | None
    where: str | None
    pot: str | None
    grafter: str | None
    grafted: str | None
    within: float | None
    height: str | None
    look: list[str] | None = None

    @property
    def given(self) -> bool:
        return any(value is not None for value in vars(self).values())


def show_nameless(asked: Asked, nursery: Nursery, *, as_json: bool) -> bool:
    """Rank the plants and say so; whether any plant was listed."""
    from scionary.answers.nameless import Remembered, nameless

    known = Remembered(
        code=asked.code or "",
        name=asked.name or "",
        where=asked.where or "",
        pot=asked.pot or "",
        grafter=asked.grafter or "",
        grafted=day(asked.grafted, nursery) if asked.grafted else None,
        within_days=asked.within or 30.0,
        height_mm=_height(asked.height, nursery.length_unit) if asked.height else None,
        looks=_looks(asked.look or []),
    )
    if not known.given:
        raise Refused(
            "nothing is said of the plant.",
            where="--nameless",
            remedy="Give one of --code, --name, --where, --pot, --grafter, --grafted, --height, --look.",
        )
    answer = nameless(known)
    if as_json:
        say_json(answer.to_dict())
    else:
        _show(answer)
    return any(line.plant for line in answer.lines)


def _looks(typed: list[str]) -> dict[str, str]:
    """Traits from `summer=red`; the answer as it is kept or in its words."""
    from scionary.names import BY_KEY

    found = {}
    for each in typed:
        key, _, answer = (part.strip().casefold() for part in each.partition("="))
        if key not in BY_KEY:
            raise Refused(f"{each!r} names no trait.", where="--look", remedy=f"Write TRAIT=ANSWER; traits: {', '.join(BY_KEY)}.")
        values = BY_KEY[key].values
        meant = next((value for value, words in values.items() if answer in (value, words)), None)
        if meant is None:
            raise Refused(f"{each!r} is no answer.", where="--look", remedy=f"{BY_KEY[key].words.capitalize()}: {', '.join(values)}.")
        found[key] = meant
    return found


def _height(typed: str, unit: str) -> float:
    from scionary.units import read_length_mm

    try:
        found = read_length_mm(typed, unit)
    except BadValue:
        found = 0.0
    if not 1.0 <= found <= 50_000.0:
        raise Refused(f"{typed!r} is no height.", where="--height", remedy="Write it like '300 mm' or '12 in', from 1 mm to 50 m.")
    return found


def _show(answer: NamelessAnswer) -> None:
    from scionary.names import grouped

    say(answer.sentence)
    for note in answer.notes:
        say(f"  but: {note}")
    rows = [
        [
            line.number,
            "; ".join([line.plant.spoken, *line.plant.cautions]),
            grouped(line.plant.code),
            line.plant.state,
            line.plant.where,
            line.why,
        ]
        if line.plant
        else [line.number, line.kind, "", "", "", ""]
        for line in answer.lines
    ]
    if rows:
        table(["chance", "plant", "code", "state", "where", "why"], rows, right=(0,))
    if answer.next is not None:
        say(f"Next: {answer.next.words}")
    for assumed in answer.assumptions:
        say(f"  assumes: {assumed}")
