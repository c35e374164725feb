"""What a season's plan rests on: the stage counted, the luck that is learned or supposed, and what nobody wrote down."""

from __future__ import annotations

from collections.abc import Sequence

from scionary.answers.rates import AS_MEASURED, counts
from scionary.answers.take_facts import PLURALS
from scionary.answers.take_model import STAGES, TakeModel, take_model
from scionary.answers.words import listed
from scionary.book.models import Nursery, Wish
from scionary.language import Words, mark, say

BENCH_WEEKS = 6  # weeks at the bench in a season; project default, unsourced
FILLING_OF = 10  # wished plants of a cultivar that heal in one filling of a dome; project default, unsourced
STAGE_NOTE = mark("Counted when {stage}: what is lost before the next spring is not in it.")
_LUCK = Words({"season": mark("season"), "lot": mark("lot"), "day": mark("day"), "dome": mark("dome")})  # what a season's grafts share


def _untried(stage: str, wishes: Sequence[Wish]) -> list[str]:
    """That a wish's method has no record: the rates that there are come from others."""
    tried = {row.key for row in counts(stage, "method")[0] if row.grafts}
    new = sorted({wish.method.name for wish in wishes if wish.method and str(wish.method_id) not in tried})
    return (
        [say("No graft by {methods} is counted yet: the rates are of other methods.", methods=listed([f"“{name}”" for name in new]))]
        if new
        else []
    )


def _luck_words(model: TakeModel, luck: Sequence[str]) -> str:
    """How far seasons, lots and the like lie apart: which of it the records teach, and which is supposed."""
    taught = [say("{number} {factors}", number=model.known(factor), factors=PLURALS[factor]) for factor in luck if model.known(factor) > 1]
    rest = [PLURALS[factor] for factor in luck if model.known(factor) < 2]
    said = [say("How much is learned from {taught}.", taught=listed(taught))] if taught else []
    if rest:
        said.append(
            say("How far {rest} lie apart is supposed: the records know one at most (project default, unsourced).", rest=listed(rest))
        )
    return " ".join(said)


def plan_assumptions(stage: str, nursery: Nursery, wishes: Sequence[Wish], *, usual_pot: str) -> list[str]:
    """What the numbers of a plan rest on, one sentence each; `usual_pot` is the pot where a wish names none."""
    counted, model = counts(stage, "season")[0], take_model(stage)
    luck = [factor for factor in _LUCK if factor in model.fit.design.factors or factor in model.alias]
    lines = [
        say(
            "Rates are of grafts {stage}, with the luck that a coming {luck} may bring. {luck_words} Grafts of a "
            "cultivar are spread, one filling of a dome for every {filling_of} wished (project default, "
            "unsourced).",
            stage=STAGES[stage],
            luck=listed([_LUCK[factor] for factor in luck]),
            luck_words=_luck_words(model, luck),
            filling_of=FILLING_OF,
        )
    ]
    if len(luck) < len(_LUCK):
        missing = listed([_LUCK[factor] for factor in _LUCK if factor not in luck])
        lines.append(say("Not written down of any graft counted: {missing}; the luck of these is not in the numbers.", missing=missing))
    lines += [say(AS_MEASURED)] if model.fit.cells.scales else []
    lines += _untried(stage, wishes)
    if nursery.bench_hours_a_week is not None:
        lines.append(say("{bench_weeks} weeks at the bench in the season (project default, unsourced).", bench_weeks=BENCH_WEEKS))
    if any(wish.pot_kind_id is None for wish in wishes):
        lines.append(
            say("Pots: {pot}, where a wish names none. A tray holds what your domes hold on average.", pot=usual_pot or say("not known"))
        )
    if not sum(count.grafts for count in counted):
        lines.insert(
            0, say("Nothing is counted yet: these numbers leave room for not knowing. A few grafts that are followed bring them down.")
        )
    if stage != "in_leaf":
        lines.append(say(STAGE_NOTE, stage=STAGES[stage]))
    return lines
