"""All that a schedule assumes, each line with the figure that moves it where there is one."""

from __future__ import annotations

from collections.abc import Sequence

from scionary.answers.plan_figures import assumed_figure
from scionary.answers.schedule import Assumed
from scionary.answers.season_problem import Season
from scionary.answers.season_room import USUAL_TRAY, too_small
from scionary.answers.season_windows import assumed_windows
from scionary.answers.stock_supplier import supplier_words
from scionary.answers.take_model import STAGES
from scionary.answers.words import listed, plural
from scionary.language import said, say

_ALWAYS = ("graft_cost", "tray_cost", "penalty", "budget", "frost", "regraft_share")


def all_assumed(season: Season, of_engine: Sequence[str]) -> tuple[Assumed, ...]:
    """Figures first, then what nobody wrote down, then what the model supposes."""
    names = [*_ALWAYS, *_needed(season)]
    moved = [Assumed(**assumed_figure(name, season.facts.nursery)) for name in dict.fromkeys(names)]
    return (
        *moved,
        *(Assumed(words) for words in _missing(season)),
        *assumed_windows(season.windows),
        *(Assumed(said(words)) for words in of_engine),
    )


def _needed(season: Season) -> list[str]:
    """Figures that stand in for something."""
    facts, found = season.facts, []
    if any(wish.worth is None for wish in facts.wishes):
        found.append("worth")
    leafy, dormant = (any(way.method.leafy is kind for way in season.ways) for kind in (True, False))
    moved = set(facts.nursery.plan_figures or {})
    for used, names in ((leafy, ("leafy_opens", "leafy_closes")), (dormant, ("dormant_opens", "dormant_closes"))):
        if used and (not season.windows.from_weather or not moved.isdisjoint(names)):
            found += names
    if any(method.stock_low_mm is not None or method.stock_high_mm is not None for method in facts.methods):
        found.append("thickness_spread")
    if any((pot.litres or 1.0) < 1.0 for pot in season.pots):
        found.append("outgrown_weeks")
    if any(lot.lot is None for lot in season.lots):
        found += ["settling_weeks", "lead_weeks", "stock_price"]
    if any(week >= 0 for week in season.problem.stocks.arrival_week.tolist()):
        found.append("settling_weeks")
    return found


def _missing(season: Season) -> list[str]:
    """What nobody wrote down, and what is taken instead."""
    facts = season.facts
    lines = [say("A take is counted when {stage}.", stage=STAGES[season.stage]), _judged(season)]
    sure = sorted({wish.spoken for wish in facts.wishes if wish.survival is None})
    if sure:
        lines.append(say("{names}: every take becomes a finished plant (project default, unsourced).", names=listed(sure)))
    if not facts.domes:
        lines.append(say("No dome is written down: there are as many as are wanted, each a {tray}.", tray=say(USUAL_TRAY)))
    small = too_small(season.rooms)
    if small:
        lines.append(say("{names}: no pot of this plan fits in, so nothing is planned there.", names=listed(small)))
    uncounted = sorted({lot.name for lot in season.lots if lot.lot is not None and lot.number is None})
    if uncounted:
        lines.append(say("Stocks of {names} were never counted: there are enough.", names=listed(uncounted)))
    if not season.lots:
        lines.append(say("No rootstock is written down: there are enough when they are needed, and they have to be ordered."))
    lines += supplier_words(season.suppliers)
    lines += _wood(season)
    if facts.made:
        lines.append(
            say(
                "{grafts} of this year are made: they count, and keep their domes until they are hardened.",
                grafts=plural(len(facts.made), "graft"),
            )
        )
    return lines


def _judged(season: Season) -> str:
    """How many different seasons the chances rest on."""
    return say(
        "Chances are measured on 10,000 seasons: {distinct} that the plan was not made from, repeated with new luck of each graft.",
        distinct=f"{len(season.problem.fresh_takes):,}",
    )


def _wood(season: Season) -> list[str]:
    facts = season.facts
    having, counted = (
        {tree.cultivar_id for tree in facts.trees},
        {tree.cultivar_id for tree in facts.trees if tree.sticks_a_season is not None},
    )
    none = sorted({wish.spoken for wish in facts.wishes if wish.cultivar not in having})
    open_ = sorted({wish.spoken for wish in facts.wishes if wish.cultivar in having - counted})
    lines = []
    if none:
        lines.append(say("No mother tree is written down of {names}: wood is taken to come from somewhere.", names=listed(none)))
    if open_:
        lines.append(say("Sticks of {names} are not counted: there are enough.", names=listed(open_)))
    return lines
