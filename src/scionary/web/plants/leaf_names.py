"""Names to confirm in leaf: tick those that are right, and write it down once for all of them."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.growing_year import in_leaf_season
from scionary.answers.leaf_names import confirm_names, leaf_names
from scionary.answers.words import plural
from scionary.errors import Refused
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.another_day import AnotherDay
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, today_at
from scionary.web.typing_in import attempt, said_id, who
from scionary.web.undoing import read_id

_ADDRESS = "/plants/in-leaf/"


class LeafDay(AnotherDay):
    """The day on which leaves were seen: today while trees stand in leaf, else to be said."""

    def __init__(self, *args: Any, today: date, latitude_deg: float | None, **options: Any) -> None:
        super().__init__(*args, today=today, **options)
        on = self.fields["on"]
        on.required = not in_leaf_season(today, latitude_deg)
        on.label = say("Seen in leaf on")
        if on.required:
            on.help_text = say("Trees do not stand in leaf now: the day on which you saw these in leaf.")
            on.error_messages["required"] = say("Trees do not stand in leaf now: say on which day you saw them in leaf.")


def _day(request: HttpRequest, *sent: Any) -> LeafDay:
    return LeafDay(*sent, today=today_at(request), latitude_deg=nursery_of(request).latitude_deg)


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """Plants in leaf by place and cultivar, with what the cultivar looks like."""
    return _page(request, _day(request))


@require_POST
def confirm(request: HttpRequest) -> HttpResponse:
    """Write that the names of those that were ticked are right: one record about all of them."""
    now, form = now_at(request), _day(request, request.POST)
    if form.is_valid():
        plants, moment = _ticked(request), form.moment(now, nursery_of(request))
        given: dict[str, Any] = {"event_id": said_id(request), "who": who(request), "day_said": form.cleaned_data["on"] is not None}
        done = attempt(form, lambda: confirm_names(plants, happened_at=moment, now=now, **given))
        if done is not None:
            said = say("{names} confirmed in leaf", names=plural(len(plants), "name"))
            remember_undo(request, said, done.events)
            tell(request, say("Written down: {said}.", said=said), done.flags)
            return go_to(_ADDRESS)
    return _page(request, form)


def _page(request: HttpRequest, form: AnotherDay) -> HttpResponse:
    shown = leaf_names(today=today_at(request))
    ticked = set(request.POST.getlist("plant")) if form.is_bound else set()
    return form_page(request, "plants/leaf_names.html", {"names": shown, "form": form, "ticked": ticked}, form)


def _ticked(request: HttpRequest) -> list[UUID]:
    """The plants that were ticked, or all of the group whose button was pressed."""
    group = request.POST.get("all", "")
    wanted = [read_id(text, "plant") for text in request.POST.getlist(f"shown_{group}" if group else "plant")]
    if not wanted:
        raise Refused(
            say("no plant is ticked."),
            where=say("names in leaf"),
            remedy=say("Go back, tick those whose name is right, and send it again."),
        )
    if len(wanted) > LIMITS["batch_grafts"]:
        raise Refused(
            say("{wanted} plants at once.", wanted=len(wanted)),
            where=say("names in leaf"),
            remedy=say("Tick at most {batch_grafts}.", batch_grafts=LIMITS["batch_grafts"]),
        )
    return wanted
