"""In a large book: domes as they were found, held until something is written about them or what stands in them; never facts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from threading import Lock
from typing import TYPE_CHECKING
from uuid import UUID

from scionary.answers.early_signs import weights
from scionary.answers.remembered import language
from scionary.answers.since import Since, only_plants
from scionary.book.locks import chunks
from scionary.book.models import Dome, Graft, Plant

if TYPE_CHECKING:
    from scionary.answers.domes import DomeAnswer


@dataclass
class Held:
    """Domes by their id, and what they were found with."""

    since: Since = field(default_factory=Since)
    rests_on: object = None
    domes: dict[UUID, DomeAnswer] = field(default_factory=dict)
    lock: Lock = field(default_factory=Lock)

    def answers(self, domes: Sequence[Dome], find: Callable[[Dome], DomeAnswer]) -> list[DomeAnswer]:
        """Each dome as it stands; only those are found again that something was written about."""
        with self.lock:
            self._let_go()
            missing = [dome for dome in domes if dome.pk not in self.domes]
            standing = Plant.objects.filter(dome__in=[dome.pk for dome in missing]).values_list("pk", flat=True)
            weights().waiting.groups_of(standing)  # all at once is quicker than dome by dome
            for dome in missing:
                self.domes[dome.pk] = find(dome)
            return [self.domes[dome.pk] for dome in domes]

    def _let_go(self) -> None:
        with self.since.looking() as changed:
            using = weights()
            rests_on = (using.model.content, using.push.content if using.push else "", id(using.accuracies), language())
            if changed is None or rests_on != self.rests_on or only_plants(changed) is None:
                self.domes, self.rests_on = {}, rests_on
            elif changed:
                for dome in self._touched(changed):
                    self.domes.pop(dome, None)

    def _touched(self, changed: frozenset[str]) -> set[UUID]:
        """Domes that were written about, or a plant that stands, stood or healed there."""
        plants = only_plants(changed) or set()
        found = {UUID(key[5:]) for key in changed if key.startswith("dome:")}
        found |= {ident for ident, answer in self.domes.items() if any(pot.plant and pot.plant.pk in plants for pot in answer.pots)}
        for chunk in chunks(plants):
            found |= {dome for dome in Plant.objects.filter(pk__in=chunk).values_list("dome_id", flat=True) if dome}
            found |= {dome for dome in Graft.objects.filter(plant__in=chunk).values_list("dome_id", flat=True) if dome}
        return found


HELD = Held()
