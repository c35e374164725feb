"""The book: what stands in it besides plants and events."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods

from scionary.answers.full_name import name_warnings
from scionary.answers.joins import joins_of
from scionary.answers.other_names import other_names
from scionary.answers.pedigree import forebears_of_tree
from scionary.answers.protected import protected_words
from scionary.answers.set_apart import apart_of
from scionary.answers.without_plant import count_without_plant
from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, Job, KeptAside, Method, MotherTree, Nursery, RootstockLot
from scionary.language import say
from scionary.names import traits_words
from scionary.web.held_pages import held_page
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell, today_at
from scionary.web.records.forms import PracticeForm, SettingsForm
from scionary.web.records.nouns import NOUN_PAGES
from scionary.web.typing_in import attempt, sent_id, who


@require_GET
@held_page
def book(request: HttpRequest) -> HttpResponse:
    """What the book holds, and the ways in and out."""
    pages = [(key, page.title, page.model._default_manager.filter(retired=False).count()) for key, page in NOUN_PAGES.items()]
    context = {"pages": pages, "aside": KeptAside.objects.count() + count_without_plant(), "jobs": Job.objects.count()}
    return render(request, "records/book.html", context)


@require_http_methods(["GET", "POST"])
def settings(request: HttpRequest) -> HttpResponse:
    """The nursery: where it lies, units, paper, hours."""
    row = queries.nursery()
    form = SettingsForm(request.POST or None, instance=row, nursery=nursery_of(request))
    if request.method == "POST" and form.is_valid():
        done = attempt(form, lambda: save_noun(Nursery, form.cleaned_data, now=now_at(request), pk=row.pk, who=who(request)))
        if done is not None:
            tell(request, say("Settings kept."))
            return go_to("/book/")
    return form_page(request, "records/settings.html", {"form": form}, form)


@require_GET
@held_page
def nouns(request: HttpRequest, noun: str) -> HttpResponse:
    """All rows of one kind, those no longer offered behind."""
    page = NOUN_PAGES[noun]
    rows = [(row, page.about(row)) for row in page.model._default_manager.filter(retired=False).select_related(*page.beside)]
    gone = list(page.model._default_manager.filter(retired=True))
    return render(request, "records/nouns.html", {"page": page, "noun": noun, "rows": rows, "gone": gone})


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest, noun: str) -> HttpResponse:
    """Add a row."""
    page = NOUN_PAGES[noun]
    form = page.form(request.POST or None, nursery=nursery_of(request))
    if request.method == "POST":
        ident = sent_id(request)
        there = page.model._default_manager.filter(pk=ident).first()
        if there is not None:
            return _kept(request, noun, there)
        if form.is_valid():
            values = {"id": ident, **form.cleaned_data}
            row = attempt(form, lambda: save_noun(page.model, values, now=now_at(request), who=who(request)))
            if row is not None:
                return _kept(request, noun, row, form)
    return form_page(request, "records/noun.html", {"page": page, "noun": noun, "form": form}, form)


@require_http_methods(["GET", "POST"])
def noun(request: HttpRequest, noun: str, ident: UUID) -> HttpResponse:
    """One row, to read and to change."""
    page = NOUN_PAGES[noun]
    row = page.called(ident)
    form = page.form(request.POST or None, instance=row, nursery=nursery_of(request))
    if request.method == "POST" and form.is_valid():
        done = attempt(form, lambda: save_noun(page.model, form.cleaned_data, now=now_at(request), pk=ident, who=who(request)))
        if done is not None:
            return _kept(request, noun, done, form)
    context: dict[str, Any] = {"page": page, "noun": noun, "row": page.called(ident), "form": form}
    if isinstance(row, Cultivar):
        kept = Cultivar.objects.get(pk=ident)  # not as the form has it
        context |= {"protected": protected_words(kept, today_at(request)), "name_warnings": name_warnings(kept)}
        context |= {"others": other_names(kept), "joins": joins_of(kept)}
        context["looks_like"] = traits_words(kept.traits)
    if isinstance(row, MotherTree):
        context["forebears"] = forebears_of_tree(row)
    if isinstance(row, MotherTree | RootstockLot):
        context["apart"] = apart_of(page.called(ident), nursery_of(request))
        context["spread"] = page.called(ident).key
    if isinstance(row, Method):
        context |= {"steps": list(enumerate(row.after_care)), "practice_form": PracticeForm(), "applying": row.steps()}
    return form_page(request, "records/noun.html", context, form)


def _kept(request: HttpRequest, noun: str, row: Any, form: Any = None) -> HttpResponse:
    warnings = [words.rstrip(".") for words in getattr(form, "warnings", ())]
    if isinstance(row, Cultivar) and (words := protected_words(row, today_at(request))):
        warnings.append(words.rstrip("."))
    tell(request, say("Kept: {what}.", what=row), warnings)
    return go_to(f"/book/{noun}/{row.pk}/" if isinstance(row, Method) else f"/book/{noun}/")
