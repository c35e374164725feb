"""What is said on a plant of which two phones, or two people, wrote different outcomes on one walk."""

from __future__ import annotations

from scionary.book.models import Event, Nursery, Plant
from scionary.book.two_rounds import hand, outcome_words, two_rounds
from scionary.language import say


def disagreeing(plant: Plant, nursery: Nursery) -> list[str]:
    """One sentence, until one of the two is undone or a look on another walk says more; none where all agree."""
    pair = two_rounds(plant.key)
    if pair is None:
        return []
    last, other = (_told(event, nursery) for event in (pair[0], pair[1][-1]))
    return [say("on one walk {other}, and {last}: the later holds until one is undone, or a look on another day", other=other, last=last)]


def _told(event: Event, nursery: Nursery) -> str:
    time = f"{event.happened_at.astimezone(nursery.zone):%H:%M}"
    return say("{hand} wrote {outcome} at {time}", hand=hand(event), outcome=outcome_words(event), time=time)
