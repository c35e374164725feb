"""What a season's weeks need: to order, to cut, to use; as a page and on paper."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.plan_lists import plan_lists
from scionary.answers.planned_sheets import print_week, week_sheets
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_kept import kept_schedule
from scionary.answers.stock_offers import offers, save_offer
from scionary.answers.weeks_paper import graft_words, weeks_pdf
from scionary.answers.words import plural
from scionary.errors import UnknownSubject
from scionary.language import say
from scionary.web.pages import form_page, go_to, now_at, nursery_of, today_at
from scionary.web.plan.weeks import season_here
from scionary.web.plan.weeks_forms import OfferForm
from scionary.web.printing import pdf_response
from scionary.web.typing_in import attempt, who


@require_GET
def lists(request: HttpRequest) -> HttpResponse:
    """All lists of the season's last schedule."""
    return _page(request, OfferForm())


@require_POST
def offer(request: HttpRequest) -> HttpResponse:
    """Write down what a supplier offers; the order list follows it."""
    form = OfferForm(request.POST)
    if form.is_valid():
        made = attempt(form, lambda: save_offer(form.cleaned_data["offer"], now=now_at(request), who=who(request)))
        if made is not None:
            messages.success(request, say("Kept: {offer}.", offer=made))
            return go_to(f"/plan/weeks/lists/?season={season_here(request)}")
    return _page(request, form)


@require_GET
def print_(request: HttpRequest) -> HttpResponse:
    """The weeks and their lists as a PDF."""
    schedule, today = _schedule(request), today_at(request)
    pdf = weeks_pdf(schedule, plan_lists(schedule, today=today), nursery_of(request), today=today)
    return pdf_response(pdf, f"weeks-{schedule.season}.pdf")


@require_POST
def sheets(request: HttpRequest) -> HttpResponse:
    """Print the bench sheets of a planned week: they are kept, and listed with it."""
    season = season_here(request)
    made = print_week(nursery_of(request), _monday(request), today=today_at(request), now=now_at(request), who=who(request))
    messages.success(request, say("Kept, with codes set aside: {sheets}.", sheets=plural(len(made), "bench sheet")))
    return go_to(f"/plan/weeks/lists/?season={season}#sheets")


def _monday(request: HttpRequest) -> date:
    try:
        return date.fromisoformat(request.POST.get("week", ""))
    except ValueError as error:
        raise UnknownSubject(
            say("the form names no week."), where="plan", remedy=say("Go back to the lists and send it from there.")
        ) from error


def _page(request: HttpRequest, form: OfferForm) -> HttpResponse:
    schedule = _schedule(request)
    found = plan_lists(schedule, today=today_at(request))
    context = {"schedule": schedule, "lists": found, "weeks": graft_words(schedule), "offers": offers(), "form": form}
    context["sheets"] = [each for each in week_sheets(nursery_of(request), today_at(request)) if each.week.season == schedule.season]
    return form_page(request, "plan/weeks_lists.html", context, form)


def _schedule(request: HttpRequest) -> Schedule:
    season = season_here(request)
    found = kept_schedule(season)
    if found is None:
        raise UnknownSubject(say("no weeks were found for {season} yet.", season=season), where="plan", remedy=say("Find them first."))
    return found
