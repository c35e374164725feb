"""The labels of a whole day at the bench, on one sheet, and labels printed before the day."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.label_list import label_list_pdf
from scionary.answers.labels import labels_pdf, plants_grafted_on
from scionary.answers.labels_ahead import labels_ahead_pdf
from scionary.errors import Refused
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.pages import now_at, nursery_of, today_at
from scionary.web.printing import pdf_response, sheet_wanted


@require_GET
def of_day(request: HttpRequest, on: str) -> HttpResponse:
    """All grafts of a calendar day, whatever the cultivar."""
    try:
        day = date.fromisoformat(on)
    except ValueError as error:
        raise Http404 from error
    nursery = nursery_of(request)
    if "list" in request.GET:
        return pdf_response(
            label_list_pdf(plants_grafted_on(day, nursery), nursery=nursery, today=today_at(request)), f"label-list-{day.isoformat()}.pdf"
        )
    sheets = labels_pdf(plants_grafted_on(day, nursery), nursery=nursery, **sheet_wanted(request, nursery))
    return pdf_response(sheets.pdf, f"labels-{day.isoformat()}.pdf")


@require_POST
def ahead(request: HttpRequest) -> HttpResponse:
    """Set codes aside and print their labels, to be named by hand; printed again, others are set aside."""
    nursery, text = nursery_of(request), request.POST.get("count", "").strip()
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:6]) <= LIMITS["label_count"]:
        raise Refused(
            say("{typed!r} is no number of labels.", typed=text[:20]),
            where="count",
            remedy=say("Give 1 to {label_count}.", label_count=LIMITS["label_count"]),
        )
    sheets = labels_ahead_pdf(int(text), nursery=nursery, now=now_at(request), **sheet_wanted(request, nursery))
    return pdf_response(sheets.pdf, "labels-ahead.pdf")
