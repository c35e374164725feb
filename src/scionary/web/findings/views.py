"""Findings: how often it takes, what made the difference, what it was lost of, what the plan makes of it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from scionary.answers.difference import comparable, contrast, usual_pair
from scionary.answers.difference import difference as compared
from scionary.answers.importance import importance
from scionary.answers.known_truth import known_truth
from scionary.answers.learned import at_hand
from scionary.answers.losses import losses
from scionary.answers.rates import FACTORS, KINDS, PLURALS, STAGES, kinds_of, rates, usual_kind, usual_stage
from scionary.answers.season_plan import season_plan
from scionary.answers.stage_chain import stage_chain
from scionary.answers.take_model import SHORT_STAGES
from scionary.answers.waiting import waiting
from scionary.book import queries
from scionary.book.models import Graft, Tally
from scionary.errors import Refused
from scionary.language import mark, say
from scionary.web.held_pages import held_page
from scionary.web.pages import today_at


@require_GET
@held_page
def findings(request: HttpRequest) -> HttpResponse:
    """Rates of one stage by one factor, and what goes with them."""
    stage, factor = _asked(request)
    asked = _one_of(request.GET.get("rate") or usual_kind(factor), KINDS, mark("rate"))
    kinds = kinds_of(factor)
    kind = asked if asked in kinds else usual_kind(factor)
    today = today_at(request)
    found = at_hand(f"findings {stage} {factor} {kind}", today, lambda: _found(stage, factor, kind, today))
    context = {**_choices(stage, factor), "kinds": [(key, words, key == kind) for key, words in kinds.items()], **found}
    return render(request, "findings/findings.html", context)


def _found(stage: str, factor: str, kind: str, today: date) -> dict[str, Any]:
    """All that the page shows of what was learned."""
    answer = rates(stage, factor, kind)
    return {
        "answer": answer,
        "waiting": waiting(stage, today=today),
        "empty": not Graft.objects.exists() and not Tally.objects.exists(),
        "contrast": contrast(answer),
        "importance": importance(stage),
        "chain": stage_chain(),
        "losses": losses(),
        "plan": season_plan(today=today),
        "truth": known_truth(queries.nursery(), answer),
    }


@require_GET
def difference(request: HttpRequest) -> HttpResponse:
    """Two levels of a factor held against each other; those a person would ask about first when none are named."""
    stage, factor = _asked(request)
    known = comparable(stage, factor)
    first, second = request.GET.get("first", ""), request.GET.get("second", "")
    pair = (first, second) if first or second else usual_pair(stage, factor)
    answer = compared(*pair, stage=stage, factor=factor) if pair else None
    context = {"answer": answer, "known": known, **_choices(stage, factor)}
    return render(request, "findings/difference.html", context)


def _asked(request: HttpRequest) -> tuple[str, str]:
    """The stage and the factor that are asked for."""
    return stage_asked(request), _one_of(request.GET.get("factor") or "cultivar", FACTORS, mark("factor"))


def stage_asked(request: HttpRequest) -> str:
    """The stage that is asked for; the latest known when none is named."""
    return _one_of(request.GET.get("stage") or usual_stage(), STAGES, mark("stage"))


def _choices(stage: str, factor: str) -> dict[str, Any]:
    return {
        "stage": stage,
        "factor": factor,
        "factor_words": FACTORS[factor],
        "plural": PLURALS[factor],
        "stages": [(key, SHORT_STAGES[key], key == stage) for key in STAGES],
        "factors": [(key, words, key == factor) for key, words in FACTORS.items()],
    }


def _one_of(text: str, allowed: Mapping[str, str], where: str) -> str:
    if text not in allowed:
        raise Refused(
            say("{typed!r} is none that is counted.", typed=text[:30]),
            where=where,
            remedy=say("One of: {allowed}.", allowed=", ".join(allowed)),
        )
    return text
