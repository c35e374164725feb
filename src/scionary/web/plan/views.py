"""Plan: wishes, what they need, what is short, and the way to the bench."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.growing_year import year_at
from scionary.answers.protected import all_protected_words, wished
from scionary.answers.season_plan import accept_plan, season_plan
from scionary.answers.wish_lines import lines_said, save_lines
from scionary.answers.wishing import save_wish, seasons_wished, take_away, taken_away, wish_called
from scionary.answers.words import plural
from scionary.book.models import Wish
from scionary.errors import Refused
from scionary.language import say
from scionary.web.held_pages import held_page
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell_kept_as, today_at
from scionary.web.plan.drawing import resource_bars
from scionary.web.plan.forms import WishesForm, WishForm, as_typed
from scionary.web.typing_in import attempt, sent_id, who


@require_GET
@held_page
def plan(request: HttpRequest) -> HttpResponse:
    """The season's plan."""
    return _plan_page(request, season_asked(request.GET.get("season", "")), None)


@require_POST
def add(request: HttpRequest) -> HttpResponse:
    """Add a wish."""
    form = WishForm(request.POST)
    if form.is_valid():
        made = attempt(form, lambda: save_wish(form.values(), now=now_at(request), ident=sent_id(request), who=who(request)))
        if made is not None:
            messages.success(request, say("Wished: {wish}.", wish=made))
            _tell_late(request, made)
            tell_kept_as(request, form)
            return go_to(f"/plan/?season={made.season}")
    return _plan_page(request, None, form)


@require_POST
def add_lines(request: HttpRequest) -> HttpResponse:
    """Add several wishes, one a line; all or none."""
    form = WishesForm(request.POST)
    if form.is_valid():
        made = attempt(form, lambda: _saved_lines(request, form))
        if made is not None:
            messages.success(request, say("Wished: {wishes}.", wishes=plural(len(made), "wish", "wishes")))
            return go_to(f"/plan/?season={made[0].season}")
    return _plan_page(request, None, None, lines=form)


def _saved_lines(request: HttpRequest, form: WishesForm) -> list[Wish]:
    typed = form.cleaned_data
    said = lines_said(typed["wishes"], anyway=typed["anyway"])
    return save_lines(
        said, season=typed["season"], assurance=typed["assurance"], now=now_at(request), ident=sent_id(request), who=who(request)
    )


@require_http_methods(["GET", "POST"])
def wish(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Change a wish."""
    found = wish_called(ident)
    if request.method == "GET":
        return render(request, "plan/wish.html", {"form": WishForm(initial=as_typed(found)), "wish": found})
    form = WishForm(request.POST, initial=as_typed(found))
    if form.is_valid():
        made = attempt(form, lambda: save_wish(form.values(), now=now_at(request), ident=ident, change=True, who=who(request)))
        if made is not None:
            messages.success(request, say("Changed: {wish}.", wish=made))
            _tell_late(request, made)
            tell_kept_as(request, form)
            return go_to(f"/plan/?season={made.season}")
    return form_page(request, "plan/wish.html", {"form": form, "wish": found}, form)


@require_POST
def away(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Take a wish away, or bring it back."""
    gone = request.POST.get("back") != "1"
    wish_called(ident)
    found = take_away(ident, away=gone, now=now_at(request), who=who(request))
    messages.success(request, say("Taken away: {wish}.", wish=found) if gone else say("Back: {wish}.", wish=found))
    return go_to(f"/plan/?season={found.season}")


@require_POST
def take(request: HttpRequest) -> HttpResponse:
    """Take the plan to the bench."""
    answer = season_plan(today=today_at(request), season=season_asked(request.POST.get("season", "")))
    accept_plan(answer, now=now_at(request), who=who(request))
    messages.success(request, say("The bench counts against this plan from now on."))
    return go_to("/bench/")


def _tell_late(request: HttpRequest, wish: Wish) -> None:
    """Say so where the day by which a wish is wanted is past: nothing can be grafted for it any more."""
    if wish.by_when is not None and wish.by_when < today_at(request):
        messages.warning(request, say("The day by which it is wanted is past: no graft can be ready by then."))


def _plan_page(request: HttpRequest, season: int | None, form: WishForm | None, *, lines: WishesForm | None = None) -> HttpResponse:
    today, nursery = today_at(request), nursery_of(request)
    answer = season_plan(today=today, season=season)
    shown = form or WishForm(initial={"season": answer.season, "assurance": "0.9"})
    year = year_at(today, nursery)
    context: dict[str, Any] = {
        "answer": answer,
        "form": shown,
        "lines": lines or WishesForm(initial={"season": answer.season, "assurance": "0.9"}),
        "bars": resource_bars(answer.resources),
        "seasons": seasons_wished(year, year + 1, answer.season),
        "protected": all_protected_words(wished(answer.lines), today),
        "gone": taken_away(answer.season),
    }
    return form_page(request, "plan/plan.html", context, lines or shown)


def season_asked(text: str) -> int | None:
    """A growing year from an address; nothing given means the next one with wishes."""
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and 1900 <= int(text[:6]) <= 2999):
        raise Refused(say("{typed!r} is no growing year.", typed=text[:20]), where="season", remedy=say("Give a year such as 2027."))
    return int(text)
