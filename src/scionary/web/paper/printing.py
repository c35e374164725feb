"""Printing a sheet keeps it; its page leads to the PDF, now and later the same."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.paper import MOST_GRAFTS, print_bench, print_dome_card, print_round, sheet_called
from scionary.answers.paper_drawn import sheet_labels_pdf, sheet_pdf
from scionary.book.models import PrintedSheet
from scionary.errors import Refused
from scionary.language import say
from scionary.web.pages import go_to, now_at, nursery_of, today_at
from scionary.web.printing import pdf_response
from scionary.web.typing_in import who
from scionary.web.undoing import read_id


@require_POST
def round_sheet(request: HttpRequest) -> HttpResponse:
    """A round sheet of the domes that are ticked."""
    domes = [read_id(text, "dome") for text in request.POST.getlist("dome")]
    return _printed(print_round(domes, today=today_at(request), now=now_at(request), who=who(request)))


@require_POST
def card(request: HttpRequest, dome: UUID) -> HttpResponse:
    return _printed(print_dome_card(dome, today=today_at(request), now=now_at(request), who=who(request)))


@require_POST
def bench_sheet(request: HttpRequest, bench: UUID) -> HttpResponse:
    """A bench sheet with so many codes set aside."""
    text = request.POST.get("rows", "").strip()
    if not text.isascii() or not text.isdigit():
        raise Refused(
            say("{typed!r} is no number of grafts.", typed=text[:20]),
            where="rows",
            remedy=say("Give 1 to {most_grafts}.", most_grafts=MOST_GRAFTS),
        )
    return _printed(print_bench(bench, int(text[:6]), today=today_at(request), now=now_at(request), who=who(request)))


@require_GET
def pdf(request: HttpRequest, code: str) -> HttpResponse:
    """A kept sheet, drawn from its own layout."""
    found = sheet_called(code)
    return pdf_response(sheet_pdf(found), f"{found.kind.replace('_', '-')}-{found.code}.pdf")


@require_GET
def labels(request: HttpRequest, code: str) -> HttpResponse:
    """The labels of a bench sheet's codes."""
    found = sheet_called(code)
    return pdf_response(sheet_labels_pdf(found, nursery_of(request)), f"labels-{found.code}.pdf")


def _printed(sheet: PrintedSheet) -> HttpResponse:
    return go_to(f"{reverse('paper:sheet', args=[sheet.code])}?printed=1")
