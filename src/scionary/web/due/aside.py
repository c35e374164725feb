"""Records kept aside: those that came under the id of another record, and those whose plant the book does not hold."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from scionary.answers.story import record_words
from scionary.answers.without_plant import count_without_plant, without_plant
from scionary.book.kinds import KINDS
from scionary.book.models import Event, KeptAside, Nursery, Plant
from scionary.limits import LIMITS
from scionary.web.pages import nursery_of


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """The newest first; which of the two counts is settled in the plant's story, by a correction."""
    nursery = nursery_of(request)
    kept = list(KeptAside.objects.order_by("-received_at", "-pk")[: LIMITS["page_rows"]])
    events = Event.objects.prefetch_related("subjects").in_bulk([one.event_id for one in kept])
    pairs = [{"first": _recorded(nursery, events[one.event_id]), "other": _kept(nursery, one)} for one in kept if one.event_id in events]
    waiting = [{"record": _recorded(nursery, one.event), "of": one} for one in without_plant(LIMITS["page_rows"])]
    return render(request, "due/aside.html", {"pairs": pairs, "waiting": waiting, "waiting_count": count_without_plant()})


def _recorded(nursery: Nursery, event: Event) -> dict[str, Any]:
    return _shown(
        nursery,
        event.kind,
        event.happened_at,
        event.payload,
        event.who,
        [subject.key for subject in event.subjects.all()],
        event.recorded_at,
    )


def _kept(nursery: Nursery, one: KeptAside) -> dict[str, Any]:
    content = one.content
    happened_at = datetime.fromtimestamp(content["happened_at"], one.received_at.tzinfo)
    return _shown(nursery, content["kind"], happened_at, content["payload"], content["who"], content["subjects"], one.received_at)


def _shown(
    nursery: Nursery, kind: str, happened_at: datetime, payload: Mapping[str, Any], who: str, subjects: list[str], received_at: datetime
) -> dict[str, Any]:
    """One of the two in words."""
    idents = [key[6:] for key in subjects if key.startswith("plant:")]
    plants = Plant.objects.select_related("cultivar").filter(pk__in=idents)
    words, said = record_words(kind, payload, nursery) if kind in KINDS else (kind, [])
    return {
        "words": words,
        "happened_at": happened_at,
        "said": said,
        "who": who,
        "plants": list(plants),
        "received_at": received_at,
    }
