"""The weeks of a season: found beside the pages, looked at, set beside others, moved by hand, taken to the bench."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.growing_year import year_at
from scionary.answers.plan_figures import save_figures
from scionary.answers.schedule import Schedule, ScheduleRow, WishOutlook
from scionary.answers.schedule_asking import WORK, accepted_schedule, ask_schedule, is_behind, job_of, stop, take_schedule
from scionary.answers.schedule_beside import failed_try, tries_under_way
from scionary.answers.schedule_drift import drift_words, plan_scores
from scionary.answers.schedule_fillings import fillings_of
from scionary.answers.schedule_kept import kept_schedule, schedule_called
from scionary.answers.schedule_moving import move, row_after, row_called
from scionary.answers.schedule_words import chance_under_most_value, change_worth, surety_words
from scionary.answers.wishing import seasons_wished
from scionary.book.models import Job
from scionary.errors import Refused, UnknownSubject
from scionary.language import say
from scionary.web.pages import form_page, go_to, is_part, now_at, nursery_of, today_at
from scionary.web.plan.views import season_asked
from scionary.web.plan.weeks_drawing import weeks_pictures
from scionary.web.plan.weeks_forms import USUAL, FiguresForm, FindForm, RowForm, TryForm, as_asked, moved_words, row_words
from scionary.web.plan.weeks_words import beside_words, falls_short, rows_with_reasons, value_words, wishes_shown
from scionary.web.typing_in import attempt, who

MOST_OPEN = 5  # wishes that are not folded


@require_GET
def weeks(request: HttpRequest) -> HttpResponse:
    """The last schedule of a season; a part asked for again while one is worked out, which has the page read again when it changes."""
    season = season_here(request)
    found, job = kept_schedule(season), job_of(season)
    if not is_part(request):
        return weeks_page(request, season)
    if job is None or request.GET.get("seen", "") != (found.ident if found else ""):
        return HttpResponse(headers={"HX-Refresh": "true"})
    return render(request, "plan/_weeks_work.html", _work(season, found, job))


@require_POST
def find(request: HttpRequest) -> HttpResponse:
    """Have a season's weeks worked out beside the pages."""
    season = season_here(request)
    form = FindForm(USUAL | request.POST.dict())
    if form.is_valid() and attempt(form, lambda: ask_schedule(form.ask(season), now=now_at(request))) is not None:
        return go_to(season_address(season))
    return weeks_page(request, season, find=form)


@require_POST
def stop_it(request: HttpRequest) -> HttpResponse:
    """Stop the work; the best plan so far is kept."""
    season = season_here(request)
    stop(season, now=now_at(request))
    return go_to(season_address(season))


@require_POST
def take(request: HttpRequest) -> HttpResponse:
    """Take a schedule to the bench."""
    take_schedule(sent_schedule(request), now=now_at(request), who=who(request))
    messages.success(request, say("The bench counts against this plan from now on."))
    return go_to("/bench/")


@require_POST
def figures(request: HttpRequest) -> HttpResponse:
    """Move figures that the plan assumes; the plan stays as it is until it is found again."""
    schedule = sent_schedule(request)
    form = FiguresForm(schedule.assumed, request.POST)
    if form.is_valid() and attempt(form, lambda: save_figures(form.moved(), now=now_at(request), who=who(request))) is not None:
        messages.success(request, say("Kept. Find the weeks again, and the plan follows."))
        return go_to(season_address(schedule.season))
    return weeks_page(request, schedule.season, figures=form)


@require_http_methods(["GET", "POST"])
def row(request: HttpRequest, ident: UUID, number: int) -> HttpResponse:
    """Move a row by hand: what it breaks is said first, then it is kept."""
    schedule = schedule_called(ident)
    form = RowForm(row_called(schedule, number), request.POST or None)
    moved = None
    if form.is_valid() and form.changes():
        keep = request.POST.get("keep") == "1"
        moved = attempt(form, lambda: _moved(request, schedule, form, keep=keep))
        if moved is not None and keep:
            messages.success(request, moved_words(form.row, row_after(moved, form.row, to_week=form.changes().get("to_week"))))
            return go_to(season_address(schedule.season))
    context = {"schedule": schedule, "form": form, "row": form.row, "words": row_words(form.row), "moved": moved}
    if moved is not None:
        context["was"] = beside_words(moved, moved.tried[0])
    return form_page(request, "plan/weeks_row.html", context, form)


def season_here(request: HttpRequest) -> int:
    """The growing year of the address or form; else the next one with wishes."""
    asked = season_asked(request.POST.get("season") or request.GET.get("season", ""))
    if asked is not None:
        return asked
    year = year_at(today_at(request), nursery_of(request))
    return next((season for season in seasons_wished() if season >= year), year)


def _moved(request: HttpRequest, schedule: Schedule, form: RowForm, *, keep: bool) -> Schedule:
    """The schedule with the row moved; what is only looked at is not kept."""
    with transaction.atomic():
        found = move(schedule, form.row.number, today=today_at(request), now=now_at(request), **form.changes())
        transaction.set_rollback(not keep)
    return found


def sent_schedule(request: HttpRequest) -> Schedule:
    """The schedule that the form was drawn with."""
    try:
        return schedule_called(UUID(request.POST.get("schedule", "")))
    except ValueError as error:
        raise UnknownSubject(
            say("the form names no plan."), where="plan", remedy=say("Go back to the weeks and send it from there.")
        ) from error


def season_address(season: int) -> str:
    """Where the weeks of a growing year are shown."""
    return f"/plan/weeks/?season={season}"


def _work(season: int, found: Schedule | None, job: Job | None) -> dict[str, Any]:
    """How far the work is."""
    return {"season": season, "job": job, "seen": found.ident if found else "", "percent": round(job.fraction * 100) if job else 0}


def trying(job: Job) -> dict[str, Any]:
    """How far a change is that is tried."""
    return {"try": job, "change_words": job.arguments.get("words", ""), "percent": round(job.fraction * 100)}


def weeks_page(request: HttpRequest, season: int, **forms: Any) -> HttpResponse:
    """The page of a season's weeks; a form that was sent stays as it was typed."""
    found, job = kept_schedule(season), job_of(season)
    find_form = forms.get("find") or FindForm(initial=as_asked(found))
    context = {**_work(season, found, job), "schedule": found, "find": find_form, "failed": _failed(season, found, job)}
    context["wished"] = season in seasons_wished()
    if found is not None:
        context |= _shown(found, forms) | {"behind": _behind(found, request), "taken": accepted_schedule(season)}
    context["scores"] = plan_scores()
    return form_page(request, "plan/weeks.html", context, *forms.values())


def _shown(schedule: Schedule, forms: dict[str, Any]) -> dict[str, Any]:
    """What the page shows of a schedule; of many wishes the first, and the others folded."""
    wishes = wishes_shown(schedule)
    picture, more, more_domes = weeks_pictures(schedule) if schedule.rows else (None, None, 0)
    first = MOST_OPEN if len(wishes) > MOST_OPEN + 2 else len(wishes)
    return {
        "value": value_words(schedule),
        "wishes": [_of_wish(schedule, wish) for wish in wishes[:first]],
        "other_wishes": [_of_wish(schedule, wish) for wish in wishes[first:]],
        "others_short": sum(falls_short(wish) for wish in wishes[first:]),
        "surety": surety_words(schedule),
        "drift": drift_words(schedule.drift),
        "changes": [(change, change_worth(change)) for change in schedule.changes],
        "own": beside_words(schedule, schedule.own) if schedule.own else None,
        "tried": [beside_words(schedule, each) for each in schedule.tried],
        "picture": picture,
        "more_picture": more,
        "more_domes": more_domes,
        "fillings": [(schedule.weeks[each.first].monday, each.words) for each in fillings_of(schedule)],
        "change": forms.get("change") or TryForm(),
        "trying": [trying(job) for job in tries_under_way(schedule.season)],
        "not_tried": failed_try(schedule),
        "figures": forms.get("figures") or FiguresForm(schedule.assumed),
        "supposed": [each for each in schedule.assumed if not each.figure],
    }


def _of_wish(schedule: Schedule, wish: WishOutlook) -> tuple[WishOutlook, bool, str, list[ScheduleRow]]:
    return wish, falls_short(wish), chance_under_most_value(schedule, wish), rows_with_reasons(schedule, wish)


def _behind(schedule: Schedule, request: HttpRequest) -> bool:
    """Whether the book has changed since; a season that is over or without wishes is not looked at."""
    try:
        return is_behind(schedule, today=today_at(request))
    except Refused:
        return False


def _failed(season: int, found: Schedule | None, job: Job | None) -> str:
    """Why the last work ended without a plan."""
    if job is not None:
        return ""
    last = Job.objects.filter(work=WORK, arguments__season=season).order_by("-asked_at").first()
    if last is None or last.status not in (Job.Status.REFUSED, Job.Status.FAILED):
        return ""
    return "" if found and last.asked_at < found.made_at else last.message
