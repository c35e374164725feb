"""The yard: which trees may give how many sticks today, whether this is a morning to cut, and the bags with their labels."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from scionary.answers.bag_label import bag_label_pdf
from scionary.answers.bags import cut_when
from scionary.answers.bags_undone import undoing_of
from scionary.answers.cutting import cut_all, yard_morning
from scionary.answers.cuttings import standing_cut
from scionary.answers.yard import NO_LIMIT, bag_line, yard
from scionary.language import say
from scionary.web.pages import now_at, nursery_of, today_at
from scionary.web.printing import pdf_response, sheet_wanted


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """Trees that the plan wants wood of first, then the others, each with this morning's verdict; the bags with their clock."""
    nursery = nursery_of(request)
    found = yard(nursery, now=now_at(request))
    mornings = cut_all([line.tree for line in found.trees], nursery, today=today_at(request))
    asked, others = ([(line, mornings[line.tree.pk]) for line in lines] for lines in (found.asked_for, found.others))
    context = {"yard": found, "asked": asked, "others": others, "morning": yard_morning(list(mornings.values()))}
    return render(request, "bench/yard.html", context)


@require_GET
def bag(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One bag: what to write on it, how fresh it is, what is left."""
    nursery = nursery_of(request)
    line = bag_line(ident, nursery, now=now_at(request))
    context = {
        "line": line,
        "bag": line.bag,
        "cut_when": cut_when(line.bag, nursery),
        "event": standing_cut(line.bag),
        "undoing": undoing_of(line.bag),
        "no_limit": say(NO_LIMIT),
    }
    return render(request, "bench/yard_bag.html", context)


@require_GET
def label(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The label of one bag as PDF."""
    nursery = nursery_of(request)
    line = bag_line(ident, nursery, now=now_at(request))
    return pdf_response(bag_label_pdf(line, nursery=nursery, **sheet_wanted(request, nursery)).pdf, "bag-label.pdf")
