"""Records kept aside: those that came under the id of another record, and those whose plant the book does not hold."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from scionary.answers.without_plant import count_without_plant, without_plant
from scionary.book.kinds import KINDS, references
from scionary.book.models import Event, KeptAside, Plant
from scionary.limits import LIMITS


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """The newest first; which of the two counts is settled in the plant's story, by a correction."""
    kept = list(KeptAside.objects.order_by("-received_at", "-pk")[: LIMITS["page_rows"]])
    events = Event.objects.prefetch_related("subjects").in_bulk([one.event_id for one in kept])
    pairs = [{"first": _recorded(events[one.event_id]), "other": _kept(one)} for one in kept if one.event_id in events]
    waiting = [{"record": _recorded(one.event), "of": one} for one in without_plant(LIMITS["page_rows"])]
    return render(request, "due/aside.html", {"pairs": pairs, "waiting": waiting, "waiting_count": count_without_plant()})


def _recorded(event: Event) -> dict[str, Any]:
    return _shown(
        event.kind, event.happened_at, event.payload, event.who, [subject.key for subject in event.subjects.all()], event.recorded_at
    )


def _kept(one: KeptAside) -> dict[str, Any]:
    content = one.content
    happened_at = datetime.fromtimestamp(content["happened_at"], one.received_at.tzinfo)
    return _shown(content["kind"], happened_at, content["payload"], content["who"], content["subjects"], one.received_at)


def _shown(
    kind: str, happened_at: datetime, payload: Mapping[str, Any], who: str, subjects: list[str], received_at: datetime
) -> dict[str, Any]:
    """One of the two in words."""
    idents = [key[6:] for key in subjects if key.startswith("plant:")]
    plants = Plant.objects.select_related("cultivar").filter(pk__in=idents)
    named = {name for name, _ in references(kind, payload)} if kind in KINDS else set()
    return {
        "words": KINDS[kind].words if kind in KINDS else kind,
        "happened_at": happened_at,
        "payload": [(name.replace("_", " "), value) for name, value in payload.items() if name not in named],
        "who": who,
        "plants": list(plants),
        "received_at": received_at,
    }
