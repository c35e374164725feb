"""Which scion goes to which stock: matched, listed as the stocks stand, printed, and written down as used once it is walked."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_POST

from scionary.answers.join_usual import usual_grafter, usual_way
from scionary.answers.match_paper import pairs_pdf
from scionary.answers.match_stems import MatchAnswer, match_stems
from scionary.answers.measured_stems import row_called, write_used
from scionary.answers.words import plural
from scionary.errors import Refused
from scionary.language import say
from scionary.web.bench.match_forms import MatchForm
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, today_at
from scionary.web.printing import pdf_response
from scionary.web.typing_in import attempt, sent_id, who

_SHOWN = 300


@require_http_methods(["GET", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """The form; once it was sent, the pairs in order of standing, what is left, what to order. Nothing is written."""
    nursery = nursery_of(request)
    if request.method == "GET":
        begin = {
            "unit": nursery.length_unit,
            "method": usual_way(today_at(request), nursery),
            "grafter": usual_grafter(today_at(request)),
            "names": True,
            "lots": request.GET.getlist("lot"),
        }
        return form_page(request, "bench/match.html", {"form": MatchForm(nursery=nursery, initial=begin)})
    form = MatchForm(request.POST, nursery=nursery)
    found = _found(request, form)
    context: dict[str, Any] = {"form": form, "answer": None}
    if found:
        answer, doubts = found
        context |= {"answer": answer, "doubts": doubts, "pairs": answer.pairs[:_SHOWN], "more": max(len(answer.pairs) - _SHOWN, 0)}
        context["sent"] = [(name, value) for name in form.fields for value in request.POST.getlist(name)]
        context["stems"] = [":".join(map(str, stem.of)) for pair in answer.pairs for stem in (pair.stock, pair.scion) if stem.of]
    return form_page(request, "bench/match.html", context, form)


@require_POST
def printed(request: HttpRequest) -> HttpResponse:
    """The bench list as PDF, of what was sent."""
    form = MatchForm(request.POST, nursery=nursery_of(request))
    found = _found(request, form)
    if found is None:
        wrong = "; ".join(str(error) for errors in form.errors.values() for error in errors)
        raise Refused(wrong, where="list", remedy=say("Match them on the page first."))
    return pdf_response(pairs_pdf(found[0], nursery_of(request), today=today_at(request)), "pairs.pdf")


@require_POST
def used(request: HttpRequest) -> HttpResponse:
    """Write down that the measured stems of these pairs are there no more."""
    stems = [_stem(text) for text in request.POST.getlist("stem")[:4000]]
    if not stems:
        raise Refused(say("no measured stem is named."), where="stems", remedy=say("Match them on the page first."))
    written = write_used(stems, now=now_at(request), event_id=sent_id(request), who=who(request))
    if written:
        words = plural(len(written), "stem", "stems")
        remember_undo(request, say("{stems} used", stems=words), written)
        tell(request, say("Written down: {stems} are used, and will not be matched again.", stems=words))
    return go_to("/bench/match/")


def _stem(text: str) -> tuple[Any, int]:
    """A row of the book and a number in it, as the page names them."""
    try:
        noun, ident, number = text.split(":")
        return row_called(noun, UUID(ident)).row, int(number)
    except (ValueError, KeyError) as error:
        raise Refused(say("{text!r} names no stem.", text=text[:60]), where="stems", remedy=say("Match them on the page first.")) from error


def _found(request: HttpRequest, form: MatchForm) -> tuple[MatchAnswer, list[str]] | None:
    """The pairs and what is to ask about; None where something typed cannot be, which the form then says."""
    if not form.is_valid():
        return None

    def matched() -> tuple[MatchAnswer, list[str]]:
        ask, doubts = form.ask(nursery_of(request), today=today_at(request))
        return match_stems(ask), doubts

    return attempt(form, matched)
