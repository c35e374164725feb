"""What could have caught it from here: a picture, a list with the way to each, and one button for the whole set."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.contact_map import Way
from scionary.answers.marking import MARK_WORDS, Mark, mark_set, reasons, would_change
from scionary.answers.spread import WAY_WORDS, Ask, SpreadAnswer, SpreadQuestion, spread, usual_ways
from scionary.answers.spread_tree import spread_rows
from scionary.answers.things import checked_key
from scionary.book.texts import later
from scionary.errors import Refused
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.pages import form_page, go_to, now_at, nursery_of, readable_days, remember_undo, tell, today_at
from scionary.web.typing_in import DayField, attempt, said_id, who

_TEMPLATE = "plants/spread.html"
_ENDING = (Mark.RELEASE, Mark.END_DOUBT)
_MOST_REASONS = 6
_OFFERED = {Ask.SICKNESS: (Mark.QUARANTINE, Mark.RELEASE), Ask.NAME: (Mark.DOUBT, Mark.END_DOUBT)}


class SpreadForm(forms.Form):
    """What is asked of a thing; the address holds it, so that a question can be kept and sent on."""

    ask = forms.ChoiceField(
        choices=[(Ask.SICKNESS.value, later("a sickness or pest")), (Ask.NAME.value, later("a wrong name"))], label=later("What is feared?")
    )
    look = forms.ChoiceField(
        choices=[("on", later("What could have caught it from here?")), ("back", later("Where could it have come from?"))],
        label=later("Which way?"),
    )
    by = forms.MultipleChoiceField(
        choices=lambda: [(way.value, words) for way, words in WAY_WORDS.items()],
        widget=forms.CheckboxSelectMultiple,
        label=later("By what they shared"),
    )
    since = DayField(
        required=False,
        label=later("Only since (back: until)"),
        help_text=later("Leave it empty where you do not know."),
        validators=readable_days(),
    )

    def __init__(self, *args: Any, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.today = today

    def clean_since(self) -> date | None:
        since: date | None = self.cleaned_data.get("since")
        if since is not None and since > self.today:
            raise forms.ValidationError(say("That day is still to come. Give today or an earlier one."))
        return since

    @property
    def asked(self) -> dict[str, Any]:
        said = self.cleaned_data
        ways = tuple(way for way in Way if way.value in said["by"])
        return {"ask": Ask(said["ask"]), "back": said["look"] == "back", "ways": ways, "since": said.get("since")}


class MarkForm(forms.Form):
    """Why a whole set is marked."""

    use_required_attribute = False
    reason = forms.CharField(
        max_length=200, label=later("Why"), help_text=later("Some words that stand beside each plant: dark spots on the shoots.")
    )


@require_GET
def spread_page(request: HttpRequest) -> HttpResponse:
    """The question, the picture, the list."""
    return _page(request, SpreadForm(_asked(request.GET), today=today_at(request)), MarkForm())


@require_POST
def mark(request: HttpRequest) -> HttpResponse:
    """Write a mark down for the whole set that the question gives now."""
    form, why = SpreadForm(_asked(request.POST), today=today_at(request)), MarkForm(request.POST)
    if not (form.is_valid() and why.is_valid()):
        return _page(request, form, why)
    wanted, of, shown = _pressed(request)
    given: dict[str, Any] = {"happened_at": now_at(request), "now": now_at(request), "who": who(request), "event_id": said_id(request)}
    given |= {"nursery": nursery_of(request), "of": of, "shown": shown, "most": LIMITS["mark_plants"]}
    done = attempt(why, lambda: mark_set(_question(request, form), wanted, why.cleaned_data["reason"], **given))
    if done is None:
        return _page(request, form, why)
    if done.events:
        said = f"{done.words}: {MARK_WORDS[wanted]}"
        remember_undo(request, said, done.events)
        tell(request, say("Written down for {said}.", said=said))
    return go_to(f"/plants/spread/?{_query(request.POST)}")


def _pressed(request: HttpRequest) -> tuple[Mark, str | None, int | None]:
    """The mark of a button, how many things it said that it would change, and the reason that it ends."""
    kind, _, rest = request.POST.get("mark", "").partition("|")
    count, _, reason = rest.partition("|")
    try:
        mark = Mark(kind)
        return mark, reason if mark in _ENDING else None, int(count) if count else None
    except ValueError:
        raise Refused(say("no such mark."), where="spread", remedy=say("Use one of the buttons.")) from None


def _asked(sent: Any) -> dict[str, Any]:
    """What the address asks; a page opened from a plant asks the usual."""
    ask = sent.get("ask") if sent.get("ask") in {each.value for each in Ask} else Ask.SICKNESS.value
    usual = [way.value for way in usual_ways(Ask(ask), sent.get("from", ""))]
    kept = sent.get("asked") and sent.get("was", ask) == ask  # another fear follows its own usual ways
    by = sent.getlist("by") if kept else usual
    return {"ask": ask, "look": sent.get("look") or "on", "by": by, "since": sent.get("since", "")}


def _query(sent: Any) -> str:
    return urlencode(
        [("from", sent.get("from", "")), ("asked", "1"), *((k, v) for k in ("ask", "look", "by", "since") for v in sent.getlist(k))]
    )


def _question(request: HttpRequest, form: SpreadForm) -> SpreadQuestion:
    sent = request.POST if request.method == "POST" else request.GET
    return SpreadQuestion(checked_key(sent.get("from", "")), **form.asked)


def _page(request: HttpRequest, form: SpreadForm, why: MarkForm) -> HttpResponse:
    sent = request.POST if request.method == "POST" else request.GET
    context: dict[str, Any] = {"form": form, "why": why, "from": sent.get("from", ""), "query": _query(sent)}
    answer = spread(_question(request, form), nursery_of(request)) if form.is_valid() else None
    if answer is not None:
        context |= {"answer": answer, "rows": spread_rows(answer), "shared": answer.shared(), "marks": _marks(answer)}
        context["page"] = page = Paginator(answer.plants, LIMITS["page_rows"]).get_page(request.GET.get("page"))
        context["lines"] = _lines(answer, [f"plant:{plant}" for plant in page.object_list])
        context["sources"] = _lines(answer, answer.sources)
    return form_page(request, _TEMPLATE, context, form, why)


def _marks(answer: SpreadAnswer) -> list[tuple[str, str]]:
    """Buttons: (value, words). What begins something is one; what ends something is one for each reason that stands in the set."""
    begin, end = _OFFERED[answer.question.ask]
    about = would_change(answer, begin)
    found = [(f"{begin.value}|{about.count}|", f"{MARK_WORDS[begin]}: {about.words}")] if about.count else []
    standing = list(reasons(answer, end).items())[:_MOST_REASONS]
    return found + [(f"{end.value}|{each.count}|{why}", f"{MARK_WORDS[end]} ({why}): {each.words}") for why, each in standing]


def _lines(answer: SpreadAnswer, keys: list[str]) -> list[tuple[Any, list[Any]]]:
    """Each plant with the things between it and where it began, first in time first."""
    ways = answer.ways_to(keys)
    return [(ways[key][0 if answer.question.back else -1], ways[key][1:-1]) for key in keys]
