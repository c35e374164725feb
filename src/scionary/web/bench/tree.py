"""One mother tree: is this a morning to cut, what was seen at it, water, and the cut itself."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from scionary.answers.cutting import cut_today
from scionary.answers.protected import protected_words
from scionary.answers.words import plural
from scionary.answers.yard import TreeLine, tree_line
from scionary.book.bags import CutWritten, cut_scions
from scionary.book.commands import write_event
from scionary.book.models import Event
from scionary.language import say
from scionary.web.another_day import AnotherDay
from scionary.web.bench.cutting import CutForm
from scionary.web.bench.looking import SeenForm, WaterForm
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, today_at
from scionary.web.typing_in import attempt, said_id, who


@require_http_methods(["GET", "POST"])
def page(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The verdict of this morning, what is to know before cutting, and the cut itself."""
    nursery, now = nursery_of(request), now_at(request)
    line = tree_line(ident, nursery, now=now)
    sent = said_id(request)
    again = Event.objects.filter(pk=sent).exists()
    form = CutForm(request.POST if request.method == "POST" else None, tree=line.tree, nursery=nursery, now=now, is_written=again)
    if form.is_bound and form.is_valid():
        given: dict[str, Any] = {"now": now, "who": who(request), "event_id": sent}
        done = attempt(form, lambda: cut_scions(form.cut(), nursery, **given))
        if done is not None:
            _say(request, line, done)
            return go_to(reverse("bench:bag", args=[done.bag.pk]))
    return _page(request, line, form=form)


@require_POST
def seen(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Write down what was seen at the tree; the verdict follows from it."""
    form = SeenForm(request.POST, today=today_at(request))
    return _written(request, ident, form, "tree_seen", say("looked at"))


@require_POST
def watered(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Write down water that the tree was given."""
    form = WaterForm(request.POST, today=today_at(request))
    return _written(request, ident, form, "watered", say("watered"))


def _written(request: HttpRequest, ident: UUID, form: Any, kind: str, done: str) -> HttpResponse:
    nursery, now = nursery_of(request), now_at(request)
    line = tree_line(ident, nursery, now=now)
    if form.is_valid():
        given: dict[str, Any] = {"happened_at": form.moment(now, nursery), "now": now, "who": who(request), "event_id": said_id(request)}
        answer = attempt(form, lambda: write_event(kind, line.tree.key, form.payload(), **given))
        if answer is not None:
            remember_undo(request, f"{line.tree}: {done}", [answer.id])
            tell(request, say("Written down: {tree}, {done}.", tree=line.tree, done=done), answer.flags)
            return go_to(reverse("bench:yard_tree", args=[line.tree.pk]))
    return _page(request, line, **{"seen_form" if kind == "tree_seen" else "water_form": form})


def _page(
    request: HttpRequest,
    line: TreeLine,
    *,
    form: CutForm | None = None,
    seen_form: AnotherDay | None = None,
    water_form: AnotherDay | None = None,
) -> HttpResponse:
    nursery, now = nursery_of(request), now_at(request)
    form = form or CutForm(None, tree=line.tree, nursery=nursery, now=now)
    seen_form, water_form = seen_form or SeenForm(today=now.date()), water_form or WaterForm(today=now.date())
    seen_form.auto_id, water_form.auto_id = "seen_%s", "water_%s"  # the forms share a page, so each has ids of its own
    context = {
        "line": line,
        "form": form,
        "seen_form": seen_form,
        "water_form": water_form,
        "protected": protected_words(line.tree.cultivar, now.date()),
        "cut": cut_today(line.tree, nursery, today=now.date()),
    }
    return form_page(request, "bench/yard_tree.html", context, form, seen_form, water_form)


def _say(request: HttpRequest, line: TreeLine, done: CutWritten) -> None:
    """What was written, and where more is cut than the tree gives."""
    sticks = plural(done.bag.sticks or 0, "stick", "sticks")
    beyond = (done.bag.sticks or 0) - line.left if line.left is not None else 0
    more = [say("{sticks} more than {tree} gives in a season", sticks=plural(beyond, "stick"), tree=line.tree)] if beyond > 0 else []
    remember_undo(
        request, say("{sticks} of {cultivar} from {tree}", sticks=sticks, cultivar=done.bag.cultivar, tree=line.tree), [done.event]
    )
    tell(request, say("Written down: {sticks} of {cultivar}.", sticks=sticks, cultivar=done.bag.cultivar), [*done.flags, *more])
