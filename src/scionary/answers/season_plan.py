"""The plan of a season: how many grafts, rootstocks, sticks, trays and hours the wishes need, and what is short.

It adds up and does not choose: where something is short, what to give up is the person's decision.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from math import ceil
from typing import Any

import numpy as np
from django.db import transaction

from scionary.answers.growing_year import year_at, year_words
from scionary.answers.held import held
from scionary.answers.plan_answer import NONE_YET, PlanAnswer, PlanLine, Resource
from scionary.answers.plan_assumptions import FILLING_OF, plan_assumptions
from scionary.answers.rates import Count, coming_draws, usual_stage
from scionary.answers.season_supplies import counted_words, genus_of, supplies_for, usual_pot_name
from scionary.answers.usual_method import method_for
from scionary.answers.waiting import waiting
from scionary.answers.wish_lines import wish_said
from scionary.book import queries
from scionary.book.commands import cultivar_called, save_noun
from scionary.book.models import AcceptedPlan, Method, Nursery, Wish
from scionary.book.patience import patiently
from scionary.errors import Refused
from scionary.language import say
from scionary.plan import SeasonNeeds, Supplies, Way, WishNeeds, season_needs
from scionary.plan import Wish as WantedKind
from scionary.plan.needs import rootstocks_there
from scionary.take import chance_of_at_least, grafts_needed, likely_takes


def season_plan(*, today: date, season: int | None = None) -> PlanAnswer:
    """What the wishes of a growing year need; without a year, the next one that has wishes, else this one."""
    nursery = queries.nursery()
    year = season or coming_season(today, nursery)
    wishes = list(Wish.objects.filter(season=year, retired=False).select_related("cultivar", "method", "pot_kind"))
    stage = usual_stage()
    fillings = [ceil(wish.wanted / FILLING_OF) for wish in wishes]
    method = method_for(today, nursery)
    cultivars, methods = [wish.cultivar_id for wish in wishes], [wish.method_id or (method.pk if method else None) for wish in wishes]
    draws, counted = coming_draws(stage, cultivars, fillings=fillings, methods=methods)
    usual_pot = usual_pot_name()
    names = zip(wishes, _names(wishes), strict=True)
    kinds = [_wanted_kind(wish, name, draws[:, i], method, usual_pot) for i, (wish, name) in enumerate(names)]
    supplies = supplies_for(kinds, wishes, nursery)
    needs = held("season_needs", _content(kinds, supplies), lambda: _season_needs(kinds, supplies))
    lines = [
        _line(wish, need, counted[wish.cultivar_id], draws[:, i], stage)
        for i, (wish, need) in enumerate(zip(wishes, needs.wishes, strict=True))
    ]
    accepted = AcceptedPlan.objects.filter(season=year, retired=False).order_by("-accepted_at").first()
    assumed = [*plan_assumptions(stage, nursery, wishes, usual_pot=usual_pot), *counted_words(), *needs.assumed] if wishes else []
    return PlanAnswer(
        season=year,
        stage=stage,
        lines=lines,
        needs=needs,
        resources=_resources(needs, supplies),
        shortages=list(needs.short),
        assumed=assumed,
        accepted=accepted,
        waiting=waiting(stage, today=today).words,
        year_words=year_words(year, nursery),
    )


def _season_needs(kinds: Sequence[WantedKind], supplies: Supplies) -> SeasonNeeds:
    return season_needs(kinds, supplies, grafts_needed=grafts_needed, chance_of_at_least=chance_of_at_least, likely_takes=likely_takes)


def _content(kinds: Sequence[WantedKind], supplies: Supplies) -> str:
    """A hash of everything that the needs rest on."""
    digest = hashlib.sha256(repr(supplies).encode())
    for kind in kinds:
        digest.update(np.ascontiguousarray(kind.take_draws).tobytes())
        digest.update(repr(replace(kind, take_draws=())).encode())
    return digest.hexdigest()


def name_in_wish(text: str) -> str:
    """The cultivar that a wish names, as it is said; empty when it is no wish."""
    found = wish_said(text)
    return found.name if found else ""


@patiently
def add_wishes(texts: Sequence[str], *, season: int | None, today: date, assurance: float, now: datetime, who: str = "") -> list[Wish]:
    """Add wishes as they are said, "20 Red Tarn" or "20 Red Tarn at 30 by 2027-09-01", all or none."""
    year = season or year_at(today, queries.nursery())
    made = []
    with transaction.atomic():
        for text in texts:
            found = wish_said(text)
            if found is None:
                raise Refused(
                    say("{typed!r} is no wish.", typed=text[:60]), where="wish", remedy=say("Write a number and a name: 20 Red Tarn.")
                )
            values = {
                "cultivar": cultivar_called(found.name, now=now, who=who),
                "wanted": found.wanted,
                "season": year,
                "assurance": assurance,
                "worth": found.worth,
                "by_when": found.by,
            }
            made.append(save_noun(Wish, values, now=now, who=who))
    return made


def accept_plan(answer: PlanAnswer, *, now: datetime, who: str = "") -> AcceptedPlan:
    """Take the plan to the bench: its numbers are what the bench counts against."""
    if not answer.lines:
        raise Refused(say("there is no wish to plan for."), where="plan", remedy=say("Add one: 20 Red Tarn."))
    totals: Counter[str] = Counter()
    for line in answer.lines:
        totals[str(line.cultivar)] += line.grafts or 0
    lines = [{"cultivar": key, "grafts": grafts} for key, grafts in totals.items()]
    return save_noun(AcceptedPlan, {"season": answer.season, "accepted_at": now, "lines": lines}, now=now, who=who)


def coming_season(today: date, nursery: Nursery) -> int:
    """The next growing year that has wishes, else this one."""
    year = year_at(today, nursery)
    coming = Wish.objects.filter(season__gte=year, retired=False).order_by("season").values_list("season", flat=True).first()
    return coming or year


def _names(wishes: Sequence[Wish]) -> list[str]:
    """One name a wish; a second wish of the same cultivar is told apart by its number."""
    seen: Counter[str] = Counter()
    names = []
    for wish in wishes:
        spoken = wish.cultivar.spoken
        seen[spoken] += 1
        names.append(spoken if seen[spoken] == 1 else say("{cultivar}, wish {number}", cultivar=spoken, number=seen[spoken]))
    return names


def _wanted_kind(wish: Wish, name: str, draws: Any, usual: Method | None, usual_pot: str) -> WantedKind:
    method = wish.method or usual
    way = (
        Way(method.grafts_a_stick, method.minutes_a_graft, round((method.closed_days + method.hardening_days) / 7, 1)) if method else Way()
    )
    pot = wish.pot_kind.name if wish.pot_kind else usual_pot
    return WantedKind(name, wish.wanted, draws, pot, genus_of(wish.cultivar.botanical), wish.assurance, wish.cultivar.later_survival, way)


def _line(wish: Wish, need: WishNeeds, counted: Count, draws: Any, stage: str) -> PlanLine:
    by_rate, by_rate_chance = None, None
    if counted.grafts and counted.takes:
        survival = wish.cultivar.later_survival if wish.cultivar.later_survival else 1.0
        by_rate = ceil(wish.wanted * counted.grafts / (counted.takes * survival))
        by_rate_chance = chance_of_at_least(draws * survival, by_rate, wish.wanted)
    return PlanLine(
        wish=wish.pk,
        cultivar=wish.cultivar_id,
        name=need.name,
        wanted=need.wanted,
        assurance=need.assurance,
        grafts=need.grafts,
        rootstocks=need.rootstocks,
        sticks=need.sticks,
        hours=need.hours,
        takes=need.takes,
        chance=need.chance,
        counted=say("{takes} of {grafts}", takes=counted.takes, grafts=counted.grafts) if counted.grafts else NONE_YET,
        by_rate=by_rate,
        by_rate_chance=by_rate_chance,
        stage=stage,
        cultivar_name=wish.cultivar.spoken,
    )


def _resources(needs: SeasonNeeds, supplies: Supplies) -> list[Resource]:
    there = rootstocks_there(needs.rootstocks_by_kind, supplies)
    rows = [
        Resource(
            "stocks",
            say("{kind} stocks", kind=kind) if kind else say("Any stocks"),
            count,
            there.get(kind),
            of=kind,
        )
        for kind, count in needs.rootstocks_by_kind.items()
    ]
    sticks = sum(supplies.sticks.values()) if len(supplies.sticks) == len(needs.wishes) else None
    rows.append(Resource("sticks", say("Sticks"), needs.sticks, sticks, partly=sticks is None and bool(supplies.sticks)))
    if needs.trays is not None:
        rows.append(Resource("trays", say("Trays at once"), needs.trays, supplies.trays))
    rows.append(Resource("hours", say("Bench hours"), needs.hours, supplies.bench_hours))
    return rows
