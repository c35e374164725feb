"""What to know before labels are printed: plants that are gone, codes that two share, protected names, letters that cannot be printed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from scionary.answers.labels import label_texts
from scionary.answers.protected import all_protected_words
from scionary.answers.words import short_day
from scionary.book.locks import chunks
from scionary.book.models import Nursery, Plant
from scionary.files.grids import SheetGrid
from scionary.files.labels import label_warnings
from scionary.language import say


def label_cautions(plants: Sequence[Plant], nursery: Nursery, *, today: date) -> list[str]:
    """A sentence for each plant that is gone or shares its code, and for each protected cultivar."""
    found = all_protected_words((plant.cultivar for plant in plants), today)
    shared = _shared_codes(plants)
    for plant in plants:
        if plant.state in (Plant.State.DEAD, Plant.State.LEFT):
            since = say(" since {date}", date=short_day(plant.state_since.astimezone(nursery.zone).date())) if plant.state_since else ""
            state = plant.get_state_display()
            found.append(
                say(
                    "{plant}: {state}{since}. A plant that stands here is another one and needs a label of its own.",
                    plant=plant.spoken,
                    state=state,
                    since=since,
                )
            )
        if plant.quarantine_caution:
            found.append(
                say(
                    "{plant}: {quarantine_caution}. Its label does not say so, since it will hang longer: mark the plant.",
                    plant=plant.spoken,
                    quarantine_caution=plant.quarantine_caution,
                )
            )
        if plant.pk in shared:
            found.append(
                say(
                    "{plant}: {pk} carries the same code. Give one of them a new one, on its page.", plant=plant.spoken, pk=shared[plant.pk]
                )
            )
    return found


def print_cautions(plants: Sequence[Plant], nursery: Nursery, grid: SheetGrid) -> list[str]:
    """What is cut, left out or printed as '?' on a sheet, told once for each cultivar: on the plant with its longest name."""
    longest: dict[object, Plant] = {}
    for plant in plants:
        if plant.cultivar_id not in longest or len(plant.spoken) > len(longest[plant.cultivar_id].spoken):
            longest[plant.cultivar_id] = plant
    chosen = list(longest.values())
    told = (label_warnings([text], grid) for text in label_texts(chosen, nursery))
    return [words.removeprefix("label 1, ") for each in told for words in each]


def _shared_codes(plants: Sequence[Plant]) -> dict[object, str]:
    """For each plant whose code another plant carries too, that other one's name."""
    holders: dict[int, list[Plant]] = defaultdict(list)
    for chunk in chunks(plant.code_number for plant in plants if plant.code_number is not None):
        for held in Plant.objects.filter(code_number__in=chunk).select_related("cultivar"):
            assert held.code_number is not None
            holders[held.code_number].append(held)
    return {
        one.pk: next(other for other in held if other.pk != one.pk).spoken for held in holders.values() if len(held) > 1 for one in held
    }
