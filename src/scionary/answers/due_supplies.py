"""What the season's plan is short of and has to be ordered or found in time: stocks, scion wood."""

from __future__ import annotations

from datetime import date, timedelta

from scionary.answers.due_lines import DueLine
from scionary.answers.growing_year import autumn_equinox, year_at
from scionary.answers.put_off import SetAsides
from scionary.answers.season_plan import season_plan
from scionary.answers.words import listed, plural
from scionary.book.models import Nursery, Wish
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
    found = []
    for what, step in _STEPS.items():
        short = [each for each in answer.shortages if each.what == what and each.missing]
        if short and not asides.hides(nursery.key, step, begins, today):
            found.append(DueLine(step, _what(step, short), _WHY[step], today, 0, say(_RESTS_ON), keys=(nursery.key,)))
    return found


def _what(step: str, short: list[Shortage]) -> str:
    missing = [f"{round(each.missing or 0)} {each.of}".strip() for each in short]
    if step == "stock":
        return say("Order stocks, or wish for fewer plants: {missing} short", missing=listed(missing, most=4))
    sticks = sum(round(each.missing or 0) for each in short)
    return say("Find {sticks} more of scion wood: {missing}", sticks=plural(sticks, "stick"), missing=listed(missing, most=4))
