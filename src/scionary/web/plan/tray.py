"""How many pots stand on a tray: asked, drawn to scale, printed."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from scionary.answers.tray import tray
from scionary.answers.tray_print import tray_pdf
from scionary.errors import Refused
from scionary.language import say
from scionary.units import length_words
from scionary.web.pages import form_page, nursery_of, today_at
from scionary.web.plan.tray_drawing import MOST_DRAWN, bench_plan, tray_plan
from scionary.web.plan.tray_forms import TrayForm, usual_sizes
from scionary.web.printing import pdf_response
from scionary.web.templatetags.said import day
from scionary.web.typing_in import attempt


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """The form, and where it was sent the answer: picture, numbers, table, prints."""
    nursery = nursery_of(request)
    form = (
        TrayForm(request.GET, nursery=nursery)
        if request.GET.get("length") is not None
        else TrayForm(initial=usual_sizes(), nursery=nursery)
    )
    answer = attempt(form, lambda: tray(form.ask(), unit=nursery.length_unit)) if form.is_bound and form.is_valid() else None
    context: dict[str, Any] = {
        "form": form,
        "answer": answer,
        "asked": request.GET.urlencode(),
        "plan": tray_plan(answer) if answer else None,
        "bench": bench_plan(answer) if answer else None,
        "most_drawn": MOST_DRAWN,
    }
    if answer and answer.count <= MOST_DRAWN:
        context["rows"] = [
            (pot.place, *(length_words(size, nursery.length_unit) for size in (answer.across_mm(pot), pot.x_mm, pot.y_mm)), pot.too_low)
            for pot in answer.pots
        ]
    return form_page(request, "plan/tray.html", context, form)


@require_GET
def print_(request: HttpRequest) -> HttpResponse:
    """The tray as a PDF: a map, or at full size."""
    nursery = nursery_of(request)
    form = TrayForm(request.GET, nursery=nursery)
    if not form.is_valid():
        raise Refused(say("this tray cannot be drawn."), where=say("tray"), remedy=say("Ask for it on the page of trays first."))
    answer = tray(form.ask(), unit=nursery.length_unit)
    if not answer.pots:
        raise Refused(answer.sentence, where=say("tray"), remedy=say("Give a smaller pot or a larger tray."))
    full_size = request.GET.get("size") == "full"
    pdf = tray_pdf(answer, full_size=full_size, page=nursery.paper, printed=str(day(today_at(request))))
    return pdf_response(pdf, "tray-full-size.pdf" if full_size else "tray-map.pdf")
