"""What a plan of the season assumes where nobody wrote it down: each figure with its default, unit and source, and how to move it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.models import Nursery
from scionary.errors import BadValue, Refused
from scionary.language import mark, say

DEFAULT, COMMON = mark("project default, unsourced"), mark("common practice, no source")


@dataclass(frozen=True)
class Figure:
    """One figure; a `default` of None means that there is no such limit until somebody sets one."""

    name: str
    default: float | None
    words: str
    unit: str
    source: str
    low: float = 0.0
    high: float = 1e6


_ALL = (
    Figure("worth", 20.0, mark("A finished plant of which neither worth nor price is written down brings"), mark("money"), DEFAULT),
    Figure("graft_cost", 3.0, mark("A graft costs, in stock, film and work,"), mark("money"), DEFAULT),
    Figure("tray_cost", 1.0, mark("Filling a dome once costs"), mark("money"), DEFAULT),
    Figure("penalty", 0.0, mark("A plant that is missing costs, beside its worth,"), mark("money"), DEFAULT),
    Figure("budget", None, mark("Money that may be spent:"), mark("money"), DEFAULT, high=1e9),
    Figure("leafy_opens", 100, mark("Grafting in leaf begins after the spring equinox"), mark("days"), COMMON, low=-180, high=300),
    Figure("leafy_closes", 155, mark("Grafting in leaf ends after the spring equinox"), mark("days"), COMMON, low=-180, high=300),
    Figure("dormant_opens", 80, mark("Dormant grafting begins before the spring equinox"), mark("days"), COMMON, low=-60, high=200),
    Figure("dormant_closes", 15, mark("Dormant grafting ends before the spring equinox"), mark("days"), COMMON, low=-60, high=200),
    Figure("dormant_cut", 28, mark("Dormant sticks are cut, and kept cold and moist, at the latest before the spring equinox:"),
           mark("days"), COMMON, low=-60, high=200),
    Figure("frost", 30, mark("Frost comes after the autumn equinox, and what is grafted in leaf is hard by then:"), mark("days"), COMMON,
           low=-90, high=180),
    Figure("thickness_spread", 20.0, mark("Stems of a lot spread about their usual thickness by"), "%", DEFAULT, low=0.1, high=100),
    Figure("outgrown_weeks", None, mark("A stock outgrows a pot of less than a litre after"), mark("weeks"), DEFAULT, low=1, high=520),
    Figure("settling_weeks", 8, mark("Stocks that arrive stand in their pots before grafting for"), mark("weeks"), COMMON, high=104),
    Figure("lead_weeks", 3, mark("Stocks that have to be ordered from somebody not written down take"), mark("weeks"), DEFAULT, high=104),
    Figure("stock_price", 0.0, mark("A stock that has to be ordered costs, beside what a graft costs,"), mark("money"), DEFAULT),
    Figure("regraft_share", 50.0, mark("Of stocks on which a graft failed, these can be grafted again:"), "%", DEFAULT, high=100),
    Figure("film_mm", 250, mark("A graft takes film of"), "mm", COMMON, high=10_000),
    Figure("grafts_a_blade", 50, mark("A blade lasts for"), mark("grafts"), COMMON, low=1, high=10_000),
    Figure("labels_a_graft", 1, mark("A graft takes"), mark("labels"), COMMON, high=10),
    Figure("water_mm", 10, mark("Water stands in a tray"), "mm", COMMON, high=200),
    Figure("spare", 10, mark("Added to film, blades, labels and pots as spare:"), "%", COMMON, high=100),
)  # fmt: skip
FIGURES = {each.name: each for each in _ALL}


def figures(nursery: Nursery) -> dict[str, float | None]:
    """Every figure as it stands: as it was moved, else its default."""
    moved = nursery.plan_figures if isinstance(nursery.plan_figures, dict) else {}
    return {name: moved.get(name, figure.default) for name, figure in FIGURES.items()}


def save_figures(values: Mapping[str, float | str | None], *, now: datetime, who: str = "") -> Nursery:
    """Move figures; an empty text sets one back to its default, "none" takes a limit away. All or none are written."""
    nursery = queries.nursery()
    moved = dict(nursery.plan_figures or {})
    for name, value in values.items():
        if name not in FIGURES:
            raise Refused(
                say("{name!r} is no figure of the plan.", name=name[:40]),
                where="plan",
                remedy=say("One of: {names}.", names=", ".join(FIGURES)),
            )
        if value == "":
            moved.pop(name, None)
        else:
            moved[name] = _checked(FIGURES[name], value)
    return save_noun(Nursery, {"plan_figures": moved}, now=now, pk=nursery.pk, who=who)


def _checked(figure: Figure, value: float | str | None) -> float | None:
    if value is None or (isinstance(value, str) and value.strip().casefold() == "none"):
        if figure.default is None:
            return None
        raise BadValue(figure.name, "none", say("a number; only {names} may be without", names="budget, outgrown_weeks"))
    try:
        number = float(str(value).replace(",", "."))
    except ValueError:
        number = float("nan")
    if not figure.low <= number <= figure.high:
        raise BadValue(figure.name, value, say("{low} to {high}", low=f"{figure.low:g}", high=f"{figure.high:g}"))
    return number


def assumed_figure(name: str, nursery: Nursery) -> dict[str, Any]:
    """A figure as an assumption that can be moved: words, name, value, unit, and whether it was moved."""
    figure, value = FIGURES[name], figures(nursery)[name]
    moved = name in (nursery.plan_figures or {})
    number = say("not limited") if value is None else f"{value:g} {say(figure.unit)}"
    source = say("set by you") if moved else say(figure.source)
    words = f"{say(figure.words)} {number} ({source})."
    return {"words": words, "figure": name, "value": value, "unit": figure.unit, "moved": moved}
