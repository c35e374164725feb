"""How to join two stems, told while their thicknesses are typed and before their graft is written down."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from scionary.answers.bench import bench_called
from scionary.language import say
from scionary.web.bench.forms import GraftForm
from scionary.web.bench.views import advice_of, day_page
from scionary.web.pages import nursery_of


@require_POST
def look(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The advice for what was typed, as a part of the page or with the whole page around it; nothing is written."""
    found, nursery = bench_called(ident), nursery_of(request)
    form = GraftForm(request.POST, nursery=nursery)
    if "HX-Request" in request.headers:
        return render(request, "bench/_advice_answer.html", {"bench": found, "advice": advice_of(found, form, nursery)})
    if form.is_valid():
        for name in ("stock", "scion"):
            if form.cleaned_data[name] is None:
                form.add_error(name, say("Measure it: the advice needs both thicknesses."))
    return day_page(request, found, form)
