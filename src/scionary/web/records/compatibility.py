"""Which stock carries which scion: a table that a person edits, and what this book itself lost."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.compatible import (
    LONGEST_NAME,
    LONGEST_NOTE,
    LONGEST_SOURCE,
    OWN,
    VERDICT_WORDS,
    drop_row,
    losses_by_pair,
    row_called,
    rows_shown,
    save_row,
)
from scionary.book.texts import later
from scionary.language import say
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell
from scionary.web.typing_in import attempt, who

_PAGE = "/book/compatibility/"
_LEVELS = later("A species, a section or a genus: acer palmatum, acer sect. palmata, acer.")


class RowForm(forms.Form):
    """One row: two names, what is said of them, and who says so."""

    stock = forms.CharField(max_length=LONGEST_NAME, label=later("Stock"), help_text=_LEVELS)
    scion = forms.CharField(max_length=LONGEST_NAME, label=later("Scion"))
    verdict = forms.ChoiceField(label=later("The stock"))
    source = forms.CharField(max_length=LONGEST_SOURCE, label=later("Where that comes from"))
    note = forms.CharField(max_length=LONGEST_NOTE, required=False, label=later("A note"), widget=forms.Textarea(attrs={"rows": 2}))
    was_stock = forms.CharField(required=False, max_length=LONGEST_NAME, widget=forms.HiddenInput)
    was_scion = forms.CharField(required=False, max_length=LONGEST_NAME, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["verdict"].choices = [(str(key), words) for key, words in VERDICT_WORDS.items()]  # type: ignore[attr-defined]


@require_GET
def table(request: HttpRequest) -> HttpResponse:
    """All rows, the book's own first, and what this book lost on each pair."""
    nursery = nursery_of(request)
    return render(request, "records/compatibility.html", {"rows": rows_shown(nursery), "lost": losses_by_pair(nursery)})


@require_http_methods(["GET", "POST"])
def row(request: HttpRequest) -> HttpResponse:
    """Change one row, or add one."""
    if request.method == "GET":
        return render(request, "records/compatibility_row.html", _as_kept(request))
    form = RowForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        was = (data["was_stock"], data["was_scion"])
        if attempt(form, lambda: save_row(was, data, now=now_at(request), who=who(request))) is not None:
            tell(request, say("Kept: {scion} on {stock}.", stock=data["stock"], scion=data["scion"]))
            return go_to(_PAGE)
    return form_page(request, "records/compatibility_row.html", {"form": form, "own": request.POST.get("own")}, form)


@require_POST
def out(request: HttpRequest) -> HttpResponse:
    """Take a row of the book out; the usual one that it had changed holds again."""
    stock, scion = (request.POST.get(name, "")[:LONGEST_NAME] for name in ("stock", "scion"))
    drop_row(stock, scion, now=now_at(request), who=who(request))
    tell(request, say("Taken out: {scion} on {stock}.", stock=stock, scion=scion))
    return go_to(_PAGE)


def _as_kept(request: HttpRequest) -> dict[str, Any]:
    """The row of the address as its form shows it; a new one is empty."""
    stock, scion = (request.GET.get(name, "")[:LONGEST_NAME] for name in ("stock", "scion"))
    if not stock or "new" in request.GET:
        return {"form": RowForm(initial={"stock": stock, "scion": scion, "source": say(OWN)}), "own": ""}
    found = row_called(stock, scion, nursery_of(request))
    held = {name: str(getattr(found.row, name)) for name in ("stock", "scion", "verdict", "source", "note")}
    if not found.own:
        held |= {"source": say(OWN), "note": say(found.row.note)}
    begin = {**held, "was_stock": stock, "was_scion": scion}
    return {"form": RowForm(initial=begin), "own": "yes" if found.own else "", "usual": None if found.own else found}
