"""The labels of a whole day at the bench, on one sheet."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from scionary.answers.label_list import label_list_pdf
from scionary.answers.labels import labels_pdf, plants_grafted_on
from scionary.web.pages import nursery_of, today_at
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
