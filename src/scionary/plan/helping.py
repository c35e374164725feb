"""Which plain changes would help a season most."""

from __future__ import annotations

from dataclasses import dataclass

from scionary.language import Told
from scionary.plan.again import Again, Judged, changed_problem, judged_again, solve_again
from scionary.plan.changes import more_hours, more_money, more_sticks, more_stocks, more_trays
from scionary.plan.limits import LimitKind, amount_words
from scionary.plan.problem import PlanProblem
from scionary.plan.programme import Programme
from scionary.plan.result import PlanResult

TOP = 3
TRIED = 8  # changes whose effect is looked at by solving, of all that are estimated
SATURDAY_HOURS = 8.0  # project default, unsourced
MORE_STOCKS, MORE_STICKS, MORE_MONEY_SHARE = 50.0, 10.0, 0.1  # project defaults, unsourced


@dataclass(frozen=True)
class Helps:
    """A change that would help.

    Attributes
    ----------
    words : str
        What to change.
    problem : PlanProblem
        The season so changed, for `try_instead`.
    relaxed : float
        Money that it brings, with parts of grafts and trays.
    worth : float
        What it brings with whole ones in the seasons that the plan was made from, by solving again; certainty that is asked for counts.
    within : float
        How much `worth` may be wrong by.
    judged : Judged
        What trying it brings in the judging seasons: money, and apart from it the score.
    """

    words: str
    problem: PlanProblem
    relaxed: float
    worth: float
    within: float
    judged: Judged


def most_helpful(problem: PlanProblem, result: PlanResult, held: Programme, now: Again) -> tuple[Helps, ...]:
    """Find the most helpful of some plain changes: estimated by prices, tried by the relaxation, confirmed with whole grafts and trays.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    result : PlanResult
        Its plan.
    held : Programme
        Its programme, from `held_programme`.
    now : Again
        The season as it is, solved again.

    Returns
    -------
    tuple of Helps
        At most three, most helpful first.
    """
    tried = sorted(_candidates(problem, result), key=lambda each: -each[2])[:TRIED]
    found = []
    for words, changed, _ in tried:
        again = solve_again(result, held, *changed_problem(result, changed), whole=False)
        found.append((again.relaxed - result.relaxation.value, words, changed))
    best = [each for each in sorted(found, key=lambda each: -each[0]) if each[0] > 1e-6 * max(1.0, abs(result.value))][:TOP]
    return tuple(_tried_whole(result, held, now, *each) for each in best)


def _tried_whole(result: PlanResult, held: Programme, now: Again, relaxed: float, words: str, changed: PlanProblem) -> Helps:
    seasons, rows = changed_problem(result, changed)
    again = solve_again(result, held, seasons, rows, whole=True)
    worth = max(again.value - now.value, 0.0)
    within = max(again.bound - again.value, now.bound - now.value, 0.0)
    return Helps(words, changed, relaxed, worth, within, judged_again(result, again, changed, rows))


def _candidates(problem: PlanProblem, result: PlanResult) -> list[tuple[str, PlanProblem, float]]:
    """Plain changes with what the prices promise of them."""
    prices, limits = result.relaxation.prices, result.rows.limits
    found: list[tuple[str, PlanProblem, float]] = []
    for room, name in enumerate(problem.rooms.names):
        worth = sum(float(price) for limit, price in zip(limits, prices, strict=True) if limit.kind is LimitKind.TRAYS and limit.of == room)
        found.append((Told("one more {what} in all weeks", what=name), more_trays(problem, room), worth))
    for limit, price in zip(limits, prices.tolist(), strict=True):
        if price <= 0.0:
            continue
        if limit.kind is LimitKind.BENCH:
            words = Told(
                "{hours} more hours at the bench in {week} (a Saturday)",
                hours=amount_words(SATURDAY_HOURS),
                week=problem.weeks[limit.week],
            )
            found.append((words, more_hours(problem, SATURDAY_HOURS, slice(limit.week, limit.week + 1)), SATURDAY_HOURS * price))
        elif limit.kind in (LimitKind.STOCKS, LimitKind.THICKNESS):
            words = Told("{number} more stocks of {name}", number=amount_words(MORE_STOCKS), name=problem.stocks.names[limit.of])
            found.append((words, more_stocks(problem, limit.of, MORE_STOCKS), MORE_STOCKS * price))
        elif limit.kind is LimitKind.STICKS:
            words = Told("{number} more sticks of {name}", number=amount_words(MORE_STICKS), name=problem.sticks.names[limit.of])
            found.append((words, more_sticks(problem, limit.of, MORE_STICKS), MORE_STICKS * price))
        elif limit.kind is LimitKind.BUDGET:
            money = MORE_MONEY_SHARE * problem.budget
            found.append((Told("{money} more money", money=f"{money:,.0f}"), more_money(problem, money), money * price))
    return [each for each in {words: (words, changed, worth) for words, changed, worth in found}.values() if each[2] > 0.0]
