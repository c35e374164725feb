"""The yard: which trees may give how many sticks today, cutting them into a bag, and the bag with its label."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from scionary.answers.bag_label import bag_label_pdf
from scionary.answers.bags import cut_when
from scionary.answers.cuttings import standing_cut
from scionary.answers.protected import protected_words
from scionary.answers.words import plural
from scionary.answers.yard import NO_LIMIT, NO_WATER_YET, TreeLine, bag_line, tree_line, yard
from scionary.book.bags import CutWritten, cut_scions
from scionary.language import say
from scionary.web.bench.cutting import CutForm
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, today_at
from scionary.web.printing import pdf_response, sheet_wanted
from scionary.web.typing_in import attempt, sent_id, who


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """Trees that the plan wants wood of first, then the others; the bags with the clock of their freshness."""
    return render(request, "bench/yard.html", {"yard": yard(nursery_of(request), now=now_at(request))})


@require_http_methods(["GET", "POST"])
def tree(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One mother tree: what is to know before cutting, and the cut itself."""
    nursery, now = nursery_of(request), now_at(request)
    line = tree_line(ident, nursery, now=now)
    form = CutForm(request.POST if request.method == "POST" else None, tree=line.tree, nursery=nursery, now=now)
    if form.is_bound and form.is_valid():
        given: dict[str, Any] = {"now": now, "who": who(request), "event_id": sent_id(request)}
        done = attempt(form, lambda: cut_scions(form.cut(), nursery, **given))
        if done is not None:
            _say(request, line, done)
            return go_to(reverse("bench:bag", args=[done.bag.pk]))
    protected = protected_words(line.tree.cultivar, today_at(request))
    return form_page(request, "bench/yard_tree.html", {"line": line, "form": form, "protected": protected, "no_water": NO_WATER_YET}, form)


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
        "no_limit": NO_LIMIT,
    }
    return render(request, "bench/yard_bag.html", context)


@require_GET
def label(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The label of one bag as PDF."""
    nursery = nursery_of(request)
    line = bag_line(ident, nursery, now=now_at(request))
    return pdf_response(bag_label_pdf(line, nursery=nursery, **sheet_wanted(request, nursery)).pdf, "bag-label.pdf")


def _say(request: HttpRequest, line: TreeLine, done: CutWritten) -> None:
    """What was written, and where more is cut than the tree gives."""
    sticks = plural(done.bag.sticks or 0, "stick", "sticks")
    beyond = (done.bag.sticks or 0) - line.left if line.left is not None else 0
    more = [say("{sticks} more than {tree} gives in a season", sticks=plural(beyond, "stick"), tree=line.tree)] if beyond > 0 else []
    remember_undo(
        request, say("{sticks} of {cultivar} from {tree}", sticks=sticks, cultivar=done.bag.cultivar, tree=line.tree), [done.event]
    )
    tell(request, say("Written down: {sticks} of {cultivar}.", sticks=sticks, cultivar=done.bag.cultivar), [*done.flags, *more])
