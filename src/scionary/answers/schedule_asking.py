"""Asking for a season's schedule beside the pages, stopping it, and taking it to the bench."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

import numpy as np

from scionary.answers.held import held
from scionary.answers.jobs import ask_to_stop, start
from scionary.answers.kept import newest
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_drift import drift_of
from scionary.answers.schedule_kept import keep_schedule, kept_schedule
from scionary.answers.schedule_making import made_schedule
from scionary.answers.schedule_plain import to_plain
from scionary.answers.schedule_solving import (
    SEED,
    Ask,
    Tell,
    assurance_of,
    clash_of,
    explained,
    first_look,
    most_value,
    own_rows,
    season_of,
    solved,
)
from scionary.answers.season_facts import WishFact, season_facts
from scionary.answers.season_problem import Season, season_problem
from scionary.answers.waiting_time import Wait
from scionary.answers.works import LastStep, Progress
from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.models import AcceptedPlan, Job
from scionary.errors import Refused, Stopped
from scionary.language import mark, say
from scionary.plan import PlanResult

WORK = mark("plan a season")
_FIRST = 0.2  # how far it is when a first plan is shown
_SOLVING = 0.6  # how far the work is when the plan is found and the reasons are looked for


def ask_schedule(ask: Ask, *, now: datetime) -> Job:
    """Start working a season's schedule out beside the pages; refuses at once what cannot be planned."""
    season_of(ask, today=now.astimezone(queries.nursery().zone).date())
    running = job_of(ask.season)
    return running or start(WORK, ask.to_dict(), now=now)


def job_of(season: int) -> Job | None:
    """The work under way for a growing year; None where there is none."""
    found = Job.objects.filter(work=WORK, status__in=[Job.Status.WAITING, Job.Status.RUNNING], arguments__season=season)
    return found.order_by("-asked_at").first()


def stop(season: int, *, now: datetime) -> Job | None:
    """Stop it; the best plan so far is kept."""
    running = job_of(season)
    return ask_to_stop(running.pk, now=now) if running else None


def own_of(season: int) -> tuple[dict[str, Any], ...]:
    """The person's own plan: the rows of the last schedule, where they were moved by hand."""
    last = kept_schedule(season)
    return own_rows(last.rows) if last and last.source == "moved" else ()


def planned(ask: Ask, *, today: date, now: datetime, wishes: Sequence[WishFact] | None = None, progress: Tell | None = None) -> Schedule:
    """A season's schedule, worked out at once and not kept."""
    wait = Wait(ask.seconds)
    return _best(season_of(ask, today=today, wishes=wishes), ask, now=now, tell=progress or (lambda fraction, word: True), wait=wait)


def _best(season: Season, ask: Ask, *, now: datetime, tell: Tell, wait: Wait, first: PlanResult | None = None) -> Schedule:
    """The schedule that was asked for; `first` is the plan that was shown before, where one was."""
    wanted = assurance_of(season, ask)
    value = None if np.isnan(wanted).all() else most_value(season, ask, progress=lambda fraction, word: tell(0.0, word))
    result = solved(season, ask, progress=lambda fraction, word: tell(_SOLVING * fraction, word), first=first, plain=value, wait=wait)
    why, plain = None, result if value is None else value
    if ask.why and not result.stopped and wait.has_room("why"):
        why = explained(season, result, ask, progress=lambda fraction, word: tell(_SOLVING + 0.35 * fraction, word), wait=wait)
    schedule = made_schedule(season, result, asked=ask.to_dict(), wanted=wanted, now=now, why=why, plain=plain)
    look = not result.stopped and wait.has_room("clash")
    clash = clash_of(season, [wish.expected for wish in schedule.wishes]) if look else ""
    return replace(schedule, clash=clash, drift=drift_of(season, schedule), left_out=tuple(wait.left_out))


def plan_work(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    """The work beside the pages: a first plan is kept as soon as there is one, the best one at the end or when it is stopped."""
    ask = Ask.of(arguments)
    today = now.astimezone(queries.nursery().zone).date()
    stopped = False

    def tell(fraction: float, word: str) -> bool:
        nonlocal stopped
        stopped = stopped or not progress(fraction, word)
        return not stopped

    wait, season = Wait(ask.seconds), season_of(ask, today=today)
    first = first_look(season, ask, progress=lambda fraction, word: tell(_FIRST * fraction, word))
    shown = made_schedule(season, first, asked=ask.to_dict(), wanted=assurance_of(season, ask), now=now)
    keep_schedule(replace(shown, first=not stopped, stopped=stopped, drift=drift_of(season, shown)), now=now)
    if stopped:
        raise Stopped(_kept_words())
    best = _best(season, ask, now=now, tell=lambda fraction, word: tell(_FIRST + (1 - _FIRST) * fraction, word), wait=wait, first=first)
    if stopped:
        keep_schedule(replace(best, stopped=True), now=now)
        raise Stopped(_kept_words())

    def last_step() -> dict[str, Any]:
        kept = keep_schedule(best, now=now)
        return {"season": kept.season, "schedule": kept.ident, "words": kept.sentence}

    return last_step


def _kept_words() -> str:
    return say("stopped as you asked; the best plan so far is kept.")


def is_behind(schedule: Schedule, *, today: date) -> bool:
    """Whether the book has changed since a schedule was worked out, so that it would be another one now."""
    seed = int(schedule.asked.get("seed", SEED))
    stands = (schedule.season, seed, today, queries.whole_stamp(), newest())
    wishes, state = held("season as it stands", stands, lambda: _as_it_stands(schedule.season, seed, today))
    return wishes != {wish.wish for wish in schedule.wishes} or state != schedule.facts


def _as_it_stands(season: int, seed: int, today: date) -> tuple[set[str], str]:
    """Which wishes a season has, and all that its plan is made from; empty where nothing of it can be planned any more."""
    facts = season_facts(season, today=today)
    wishes = {wish.ident for wish in facts.wishes}
    try:
        return wishes, season_problem(facts, seed=seed).state
    except Refused:
        return wishes, ""


def take_schedule(schedule: Schedule, *, now: datetime, who: str = "") -> AcceptedPlan:
    """Take a schedule to the bench: its numbers are what the bench counts against, and it is kept to be scored later."""
    if not schedule.rows and not any(wish.made for wish in schedule.wishes):
        raise Refused(say("this plan has no graft in it."), where="plan", remedy=say("Give way in a limit, or wish for something else."))
    totals: Counter[str] = Counter()
    for wish in schedule.wishes:
        totals[wish.cultivar] += wish.grafts + wish.made
    lines = [{"cultivar": key, "grafts": grafts} for key, grafts in totals.items()]
    told = to_plain(replace(schedule, tried=(), held_up=(), changes=(), cheap=(), weeks=(), drift=()))
    return save_noun(AcceptedPlan, {"season": schedule.season, "accepted_at": now, "lines": lines, "schedule": told}, now=now, who=who)


def accepted_schedule(season: int) -> tuple[AcceptedPlan, Schedule] | None:
    """The schedule taken to the bench last, with its weeks; None where none was, or numbers alone."""
    from scionary.answers.schedule_drift import accepted

    return accepted(season)
