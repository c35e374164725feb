"""A label read or typed on a walk: the plant's row, or where else it stands."""

from __future__ import annotations

from dataclasses import dataclass

from scionary.answers.find import FindAnswer, find
from scionary.book import queries
from scionary.language import say
from scionary.web.walk import Walk

_LONGEST = 200


@dataclass(frozen=True)
class FoundHere:
    """The row to go to, or words with a way onward."""

    anchor: str = ""
    words: str = ""
    address: str = ""
    onward: str = ""


def find_here(walk: Walk, typed: str) -> FoundHere:
    """By its place in this dome when a bare number is typed, else by code or name; what stands elsewhere is told, not shown here."""
    asked = " ".join(typed[:_LONGEST].split())
    if walk.dome and asked.isascii() and asked.isdigit():
        at = next((plant for plant in walk.plants if plant.place == int(asked[:9])), None)
        return (
            FoundHere(f"plant-{at.pk}")
            if at
            else FoundHere(words=say("Nothing that is looked at stands at place {asked}.", asked=asked[:9]))
        )
    answer = find(asked)
    here = [plant for plant in walk.plants if plant.pk in {found.id for found in answer.plants}]
    if len(here) == 1 and (answer.plant is None or answer.plant.id == here[0].pk):
        return FoundHere(f"plant-{here[0].pk}")
    if len(here) > 1:
        return FoundHere(words=say("{here} plants of this walk fit: give the code, or name and number.", here=len(here)))
    return _elsewhere(answer)


def _elsewhere(answer: FindAnswer) -> FoundHere:
    if answer.plant is None:
        return FoundHere(words=answer.words)
    plant = queries.plant(answer.plant.id)
    told = say("{plant} does not stand here: {where}.", plant=plant.spoken, where=answer.plant.where)
    words = f"{answer.plant.warning or ''} {told}".strip()
    if plant.dome is not None:
        return FoundHere("", words, f"/domes/{plant.dome_id}/round/#plant-{plant.pk}", say("The round of {dome}", dome=plant.dome))
    return FoundHere("", words, f"/plants/{plant.pk}/", say("The page of {plant}", plant=plant.spoken))
