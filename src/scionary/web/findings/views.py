"""Findings: how often it takes, what it was lost of, what the plan makes of it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from scionary.answers.contrast import contrast
from scionary.answers.known_truth import known_truth
from scionary.answers.losses import losses
from scionary.answers.rates import FACTORS, KINDS, STAGES, rates, usual_stage
from scionary.answers.season_plan import season_plan
from scionary.answers.waiting import waiting
from scionary.book.models import Graft, Tally
from scionary.errors import Refused
from scionary.web.pages import nursery_of, today_at

_SHORT = {"firm": "firm", "growing": "growing", "in_leaf": "in leaf the next spring"}


@require_GET
def findings(request: HttpRequest) -> HttpResponse:
    """Rates of one stage by one factor, and what goes with them."""
    stage = _one_of(request.GET.get("stage") or usual_stage(), STAGES, "stage")
    factor = _one_of(request.GET.get("factor") or "cultivar", FACTORS, "factor")
    kind = _one_of(request.GET.get("rate") or "long_run", KINDS, "rate")
    answer = rates(stage, factor, kind)
    context = {
        "answer": answer,
        "waiting": waiting(stage, today=today_at(request)),
        "empty": not Graft.objects.exists() and not Tally.objects.exists(),
        "stages": [(key, _SHORT[key], key == stage) for key in STAGES],
        "factors": [(key, words, key == factor) for key, words in FACTORS.items()],
        "kinds": [(key, words, key == kind) for key, words in KINDS.items()],
        "factor_words": FACTORS[factor],
        "contrast": contrast(answer),
        "losses": losses(),
        "plan": season_plan(today=today_at(request)),
        "truth": known_truth(nursery_of(request), answer),
    }
    return render(request, "findings/findings.html", context)


def _one_of(text: str, allowed: dict[str, str], where: str) -> str:
    if text not in allowed:
        raise Refused(f"{text[:30]!r} is none that is counted.", where=where, remedy=f"One of: {', '.join(allowed)}.")
    return text
