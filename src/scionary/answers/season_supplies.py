"""What there is for a season's wishes: stocks by genus, sticks, trays and what they hold, hours; as far as it is written down."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from uuid import UUID

from scionary.answers.bench import all_stocks_left
from scionary.answers.domes import tray_layout
from scionary.answers.plan_assumptions import BENCH_WEEKS
from scionary.answers.words import listed
from scionary.book.models import Dome, MotherTree, Nursery, PotKind, RootstockLot, Wish
from scionary.language import say
from scionary.plan import Supplies
from scionary.plan import Wish as WantedKind


def supplies_for(kinds: Sequence[WantedKind], wishes: Sequence[Wish], nursery: Nursery) -> Supplies:
    domes = list(Dome.objects.filter(retired=False).select_related("pot_kind"))
    hours = nursery.bench_hours_a_week
    return Supplies(
        rootstocks=_rootstocks(),
        sticks=_sticks(kinds, wishes),
        trays=len(domes) or None,
        bench_hours=hours * BENCH_WEEKS if hours is not None else None,
        pots_per_tray=_pots_a_tray({kind.pot for kind in kinds}, domes),
    )


def usual_pot_name() -> str:
    pot = PotKind.objects.filter(retired=False).order_by("across_mm").first()
    return pot.name if pot else ""


def counted_words() -> list[str]:
    """Which stocks are counted, lot by lot, and for which wishes; none where no lot is written down."""
    lots = list(RootstockLot.objects.filter(retired=False).order_by("arrived_on", "name"))
    left_of = all_stocks_left(lots)
    counted = [say("{number} of {lot}", number=max(left_of[lot.pk] or 0, 0), lot=lot.name) for lot in lots if left_of[lot.pk] is not None]
    if not counted:
        return []
    return [say("Stocks counted: {lots}. A wish without a botanical name may use any of them.", lots=listed(counted))]


def genus_of(botanical: str) -> str:
    """The first word of a botanical name: stocks of one genus serve its cultivars. Empty when it is not known."""
    words = botanical.replace("×", " ").split()
    return words[0].capitalize() if words else ""


def _rootstocks() -> dict[str, int]:
    """Stocks left by genus, of the lots that are counted; "" stands for those of any genus where all lots are."""
    left: Counter[str] = Counter()
    lots = list(RootstockLot.objects.filter(retired=False))
    left_of = all_stocks_left(lots)
    for lot in lots:
        count = left_of[lot.pk]
        if count is not None:
            left[genus_of(lot.species)] += max(count, 0)
    if lots and all(left_of[lot.pk] is not None for lot in lots):
        left[""] += 0
    else:
        left.pop("", None)
    return dict(left)


def _sticks(kinds: Sequence[WantedKind], wishes: Sequence[Wish]) -> dict[str, int]:
    """Sticks that the mother trees of each wish's cultivar can give, where that is known."""
    given: Counter[UUID] = Counter()
    trees = MotherTree.objects.filter(retired=False).exclude(sticks_a_season=None)
    for cultivar, count in trees.values_list("cultivar", "sticks_a_season"):
        given[cultivar] += int(count or 0)
    return {kind.name: given[wish.cultivar_id] for kind, wish in zip(kinds, wishes, strict=True) if wish.cultivar_id in given}


def _pots_a_tray(names: set[str], domes: Sequence[Dome]) -> dict[str, int]:
    """How many pots of each kind a dome takes on average, rounded down; without a dome, a tray of the usual inside size."""
    trays = list(domes) or [Dome(name=say("a tray of the usual size"))]
    found: dict[str, int] = {}
    for pot in PotKind.objects.filter(name__in=names):
        fits = [len(tray_layout(d.length_mm, d.width_mm, pot.shape, pot.across_mm).positions) for d in trays]
        if sum(fits) >= len(fits):
            found[pot.name] = sum(fits) // len(fits)
    return found
