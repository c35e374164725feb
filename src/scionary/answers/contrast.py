"""The plainest difference between two cultivars, and whether it may be something else than the cultivar."""

from __future__ import annotations

from uuid import UUID

from scionary.answers.rates import RatesAnswer
from scionary.answers.take_model import take_model
from scionary.answers.words import percent
from scionary.book.models import Graft
from scionary.take import compare

_ENOUGH_GRAFTS = 8  # fewer than this on either side are not compared; project default, unsourced
_WORTH_SAYING = 0.8  # chance from which a difference is put into words; project default, unsourced


def contrast(answer: RatesAnswer) -> str:
    """Ash Gill is lower than Red Tarn with a chance of 96 %. Empty where nothing can be said yet."""
    if answer.factor != "cultivar":
        return ""
    counted = sorted((row for row in answer.rows if row.grafts >= _ENOUGH_GRAFTS), key=lambda row: row.mean)
    if len(counted) < 2:
        return ""
    low, high = counted[0], counted[-1]
    chance = compare(take_model(answer.stage).fit, "cultivar", high.key, low.key).chance_higher
    if chance < _WORTH_SAYING:
        return "No cultivar stands out from the others yet."
    return f"{low.name} is lower than {high.name} with a chance of {percent(chance)}. {_one_lot(UUID(low.key))}".strip()


def _one_lot(cultivar: UUID) -> str:
    """A word when all grafts of a cultivar stand on one lot, so that the lot may be the reason."""
    lots = set(Graft.objects.filter(cultivar=cultivar).values_list("lot__name", flat=True))
    only = next(iter(lots)) if len(lots) == 1 else None
    return f"All its grafts stand on stock lot {only}, so it may be the lot." if only else ""
