"""What the season's plan is short of and has to be ordered or found in time: stocks, scion wood."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from math import ceil

from scionary.answers.due_lines import DueLine
from scionary.answers.growing_year import autumn_equinox, year_at
from scionary.answers.planned_bench import planned_weeks
from scionary.answers.put_off import SetAsides
from scionary.answers.season_facts import genus_of
from scionary.answers.season_plan import season_plan
from scionary.answers.words import listed, plural
from scionary.book.models import Cultivar, Nursery, RootstockLot, Wish
from scionary.language import Words, mark, say
from scionary.plan import Shortage

_STEPS = {"rootstocks": "stock", "sticks": "wood"}
_WHY = Words(
    {
        "stock": mark(
            "Stocks have to be potted and rooted before they are grafted, and growers sell out early; common practice, no source."
        ),
        "wood": mark("A tree that is stripped bare gives little next year. Ask others for wood, or wish for fewer."),
    }
)
_RESTS_ON_WEEKS = mark("the plan by weeks that was taken to the bench: stocks that it orders, and wood of cultivars without a tree")
_RESTS_ON = mark("the season's wishes, the chance of each, and the stocks and trees that are written down; the plan shows all of it")


def supply_lines(nursery: Nursery, asides: SetAsides, today: date) -> list[DueLine]:
    """A line for stocks and one for scion wood, where the wishes of this season or a coming one need more than there is."""
    year = year_at(today, nursery)
    if not Wish.objects.filter(season__gte=year, retired=False).exists():
        return []
    answer = season_plan(today=today)
    if answer.season < year:
        return []
    begins = autumn_equinox(year - 1, nursery.latitude_deg) - timedelta(days=1)
    by_weeks = answer.by_weeks is not None
    wanted = of_weeks(nursery, today, answer.season) if by_weeks else _of_sums(answer.shortages)
    rests_on = say(_RESTS_ON_WEEKS) if by_weeks else say(_RESTS_ON)
    return [
        DueLine(step, _what(step, short, by_weeks=by_weeks), _WHY[step], today, 0, rests_on, keys=(nursery.key,))
        for step, short in wanted.items()
        if short and not asides.hides(nursery.key, step, begins, today)
    ]


def _of_sums(shortages: Sequence[Shortage]) -> dict[str, dict[str, int]]:
    """What the wishes need beyond what there is, by kind of stock or by wish."""
    return {
        step: {each.of: round(each.missing) for each in shortages if each.what == what and each.missing} for what, step in _STEPS.items()
    }


def of_weeks(nursery: Nursery, today: date, season: int) -> dict[str, dict[str, int]]:
    """What the plan by weeks still needs from elsewhere: stocks to order that have not come, and wood without a tree."""
    stocks, sticks = Counter[str](), Counter[str]()
    genus = {str(pk): genus_of(name) for pk, name in Cultivar.objects.values_list("pk", "botanical")}
    weeks = [week for week in planned_weeks(nursery, today) if week.season == season]
    for kind in (kind for week in weeks for kind in week.left):
        for row in kind.rows:
            share = kind.left / max(kind.planned, 1)
            if row.ordered:
                stocks[genus.get(row.cultivar, "")] += ceil(row.grafts * share - 1e-9)
            if not row.tree:
                sticks[kind.name] += ceil(row.sticks * share - 1e-9)
    for lot in RootstockLot.objects.filter(retired=False, arrived_on__gt=min((week.accepted_on for week in weeks), default=today)):
        kind_of_lot = genus_of(lot.species) if genus_of(lot.species) in stocks else ""
        stocks[kind_of_lot] -= lot.count or 0
    return {"stock": {kind: number for kind, number in stocks.items() if number > 0}, "wood": dict(sticks)}


def _what(step: str, short: dict[str, int], *, by_weeks: bool) -> str:
    missing = [f"{number} {of}".strip() for of, number in short.items()]
    if step == "stock" and by_weeks:
        return say("Order stocks for the plan: {missing}", missing=listed(missing, most=4))
    if step == "stock":
        return say("Order stocks, or wish for fewer plants: {missing} short", missing=listed(missing, most=4))
    sticks = sum(short.values())
    if by_weeks:
        return say("Find {sticks} of scion wood for the plan: {missing}", sticks=plural(sticks, "stick"), missing=listed(missing, most=4))
    return say("Find {sticks} more of scion wood: {missing}", sticks=plural(sticks, "stick"), missing=listed(missing, most=4))
