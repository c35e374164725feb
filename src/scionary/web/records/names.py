"""Names: what else a cultivar is called, names that may be one, joining two and taking them apart."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.alike import alike, left_behind, they_are_two, told_two
from scionary.answers.join_look import look_at_join
from scionary.answers.joining import join, take_apart
from scionary.answers.joins import Join, all_joins, join_called, plants_of, rows_of
from scionary.answers.labelled import wrong_labels
from scionary.answers.labels import labels_pdf
from scionary.answers.other_names import KINDS, add_other_name, other_names, take_away
from scionary.answers.undoing import undo_all
from scionary.answers.words import listed
from scionary.book import queries
from scionary.book.models import Cultivar, Plant
from scionary.book.texts import later
from scionary.errors import Refused
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell
from scionary.web.printing import pdf_response, sheet_wanted
from scionary.web.records.nouns import NOUN_PAGES
from scionary.web.typing_in import attempt, who
from scionary.web.undoing import read_id

PAGE = "/book/names/"
_WORDS_SHOWN = 5  # messages travel in a cookie, which is short


class OtherNameForm(forms.Form):
    """One more name, and why there is one."""

    name = forms.CharField(
        max_length=60, label=later("It is also called"), error_messages={"required": later("Type what it is also called.")}
    )
    kind = forms.ChoiceField(choices=lambda: list(KINDS.items()), label=later("That is"), initial="synonym")


@require_http_methods(["GET", "POST"])
def others(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The other names of a cultivar; one more is added."""
    cultivar = _cultivar(ident)
    form = OtherNameForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given: dict[str, Any] = {**form.cleaned_data, "now": now_at(request), "who": who(request)}
        made = attempt(form, lambda: add_other_name(cultivar, **given))
        if made is not None:
            tell(request, say("{cultivar} is also found as {made}.", cultivar=cultivar, made=made))
            return go_to(request.path)
    context = {"cultivar": cultivar, "others": other_names(cultivar), "form": form, "longest": LIMITS["page_rows"]}
    return form_page(request, "records/other_names.html", context, form)


@require_POST
def other_out(request: HttpRequest, ident: UUID) -> HttpResponse:
    """A cultivar is no longer found by one of its other names."""
    cultivar = _cultivar(ident)
    gone = take_away(read_id(request.POST.get("name", ""), "name"), now=now_at(request), who=who(request))
    tell(request, say("{gone} no longer finds {cultivar}.", gone=gone, cultivar=gone.cultivar))
    return go_to(f"/book/cultivars/{cultivar.pk}/names/")


@require_GET
def names(request: HttpRequest) -> HttpResponse:
    """Names that may be one, what was settled about others, and what was joined."""
    pairs, two = alike(), told_two()
    spoken = dict(Cultivar.objects.filter(pk__in={ident for couple in two for ident in couple}).values_list("pk", "spoken"))
    context = {
        "pairs": pairs[: LIMITS["page_rows"]],
        "more": max(len(pairs) - LIMITS["page_rows"], 0),
        "left": left_behind(),
        "two": sorted((listed(sorted(spoken[ident] for ident in couple)), event) for couple, event in two.items()),
        "joins": all_joins(),
    }
    return render(request, "records/names.html", context)


@require_POST
def two(request: HttpRequest) -> HttpResponse:
    """Two names are two cultivars; or they may be one after all."""
    if "again" in request.POST:
        undo_all({read_id(request.POST["again"], "names")} & set(told_two().values()), now=now_at(request), who=who(request))
        tell(request, say("They are offered again."))
        return go_to(PAGE)
    first, second = (read_id(request.POST.get(name, ""), "cultivar") for name in ("first", "second"))
    they_are_two(first, second, now=now_at(request), who=who(request))
    tell(request, say("They are two, and are not offered again."))
    return go_to(PAGE)


@require_http_methods(["GET", "POST"])
def joining(request: HttpRequest, keep: UUID, give: UUID) -> HttpResponse:
    """Look at what joining two names would change, then do it."""
    refusal = None
    if request.method == "POST":
        try:
            done = join(keep, give, now=now_at(request), who=who(request), seen=request.POST.get("seen", "")[:64])
        except Refused as refused:
            refusal = refused
        else:
            tell(request, f"{done.words}.")
            return go_to(f"{PAGE}joined/{done.ident}/")
    look = look_at_join(keep, give, now=now_at(request))
    context = {"look": look, "refusal": refusal, "shown": look.plants[: LIMITS["label_count"]]}
    return render(request, "records/join.html", context, status=422 if refusal else 200)


@require_GET
def joined(request: HttpRequest, ident: UUID) -> HttpResponse:
    """What a joining changed, which labels are still to be written again, and the way back."""
    done = join_called(ident)
    moved = plants_of(done)
    wrong = _wrong(done)
    context = {
        "join": done,
        "moved": moved,
        "rows": len(rows_of(done)),
        "wrong": wrong,
        "hung": wrong[: LIMITS["batch_grafts"]],
        "shown": [(each.plant, done.called_before(each), done.called_after(each)) for each in moved[: LIMITS["label_count"]]],
        "renumbered": sum(each.before != each.after for each in moved),
    }
    return render(request, "records/joined.html", context)


@require_POST
def undo(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Take two names apart again."""
    done = take_apart(ident, now=now_at(request), who=who(request))
    flags = [words.rstrip(".") for words in (*done.words, *done.flags)]
    tell(request, say("{given} and {kept} are two again.", given=done.join.given, kept=done.join.kept), flags[:_WORDS_SHOWN])
    return go_to(f"{PAGE}joined/{ident}/")


@require_GET
def labels(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The labels that a joining made wrong, as PDF."""
    nursery = nursery_of(request)
    sheets = labels_pdf([plant for plant, _ in _wrong(join_called(ident))], nursery=nursery, **sheet_wanted(request, nursery))
    return pdf_response(sheets.pdf, "labels-of-joined-names.pdf")


def _wrong(done: Join) -> list[tuple[Plant, str]]:
    """Plants of a joining whose labels say another name than the book, with what they say."""
    plants = list(queries.plants().filter(pk__in=[each.plant for each in plants_of(done)]).order_by("cultivar__spoken", "running_number"))
    wrong = wrong_labels(plants)
    return [(plant, wrong[plant.pk]) for plant in plants if plant.pk in wrong]


def _cultivar(ident: UUID) -> Cultivar:
    found = NOUN_PAGES["cultivars"].called(ident)
    assert isinstance(found, Cultivar)
    return found
