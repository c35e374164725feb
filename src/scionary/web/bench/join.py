"""How to join two stems: asked, drawn, printed; and what nobody knows, moved and kept."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.gauge import gauge_card_pdf
from scionary.answers.join_paper import page_of, teaching_sheet_pdf
from scionary.answers.join_stems import JoinAnswer, join_stems
from scionary.answers.join_typed import keep_assumed, read_ask
from scionary.answers.join_usual import usual_grafter, usual_way
from scionary.errors import Refused
from scionary.language import say
from scionary.web.bench.join_forms import JoinForm
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell, today_at, way_back
from scionary.web.printing import pdf_response
from scionary.web.typing_in import attempt, who

Doubts = tuple[tuple[str, str, str], ...]


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """The form, and once two thicknesses are typed the advice: sentence, drawing, steps, what moves it, what else would do."""
    asked = "stock" in request.GET and "scion" in request.GET
    form = _form(request, asked=asked)
    found = _found(request, form) if asked else None
    context: dict[str, Any] = {"form": form, "answer": None}
    if found:
        answer, doubts = found
        context |= {"answer": answer, "asked": request.GET.urlencode(), "moves": _moves(request, answer)}
        context |= {"doubts": [(words, _with(request, {part: instead}) if instead else "") for part, words, instead in doubts]}
        others = [(other, _with(request, {"method": other.key})) for other in answer.others]
        context |= {"fitting": [each for each in others if each[0].fits], "unfit": [each for each in others if not each[0].fits]}
        context["heads"] = [f"{each.wanted_mm:g} mm" for each in answer.moved_rows[0][1]] if answer.moved else []
        context["kept"] = {"tolerance": f"{answer.ask.tolerance_mm:g}", "wanted": f"{answer.ask.wanted_mm:g}"}
    return form_page(request, "bench/join.html", context, form)


@require_GET
def sheet(request: HttpRequest) -> HttpResponse:
    """The sheet that teaches this union, as PDF."""
    form = _form(request, asked=True)
    found = _found(request, form)
    if found is None:
        wrong = "; ".join(str(error) for errors in form.errors.values() for error in errors)
        raise Refused(wrong, where=say("sheet"), remedy=say("Ask on the page of joining first."))
    return pdf_response(teaching_sheet_pdf(found[0], nursery_of(request)), "how-to-join.pdf")


@require_GET
def gauge(request: HttpRequest) -> HttpResponse:
    """The go/no-go card for stems, as PDF."""
    return pdf_response(gauge_card_pdf(page_of(nursery_of(request))), "gauge-card.pdf")


@require_POST
def keep(request: HttpRequest) -> HttpResponse:
    """Keep the gap and the contact wanted as the book's own."""
    moved = {name: request.POST.get(name, "")[:20] for name in ("tolerance", "wanted")}
    keep_assumed(moved, now=now_at(request), who=who(request))
    tell(request, say("Kept: advice on joining begins with these from now on."))
    return go_to(way_back(request, "/bench/join/"))


def _found(request: HttpRequest, form: JoinForm) -> tuple[JoinAnswer, Doubts] | None:
    """The advice and what is to ask about; None where something typed cannot be, which the form then says."""
    if not form.is_valid():
        return None

    def advised() -> tuple[JoinAnswer, Doubts]:
        ask, doubts = read_ask(form.typed, nursery_of(request), today=today_at(request), unit=form.typed["unit"])
        return join_stems(ask), doubts

    return attempt(form, advised)


def _form(request: HttpRequest, *, asked: bool) -> JoinForm:
    """The form with what the address says already; method and grafter are else those of the last bench day, or of the season."""
    nursery, today = nursery_of(request), today_at(request)
    usual = {"method": usual_way(today, nursery), "grafter": usual_grafter(today)}
    said = {name: request.GET[name][:80] for name in JoinForm.base_fields if name in request.GET}
    return JoinForm(request.GET if asked else None, nursery=nursery, usual=usual, initial=said)


def _with(request: HttpRequest, changed: dict[str, str]) -> str:
    """The address of this question with some fields changed."""
    query = request.GET.copy()
    for name, value in changed.items():
        query[name] = value
    return f"?{query.urlencode()}"


def _moves(request: HttpRequest, answer: JoinAnswer) -> list[tuple[str, list[tuple[Any, str]]]]:
    """The table of what moves, a row for each gap; each cell leads to the advice there."""
    return [
        (f"{gap:g} mm", [(each, _with(request, {"tolerance": f"{gap:g}", "wanted": f"{each.wanted_mm:g}"})) for each in row])
        for gap, row in answer.moved_rows
    ]
