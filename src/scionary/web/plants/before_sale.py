"""A question before plants are written down as sold or given away, where a name is not sure or one stands in quarantine."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from scionary.answers.in_leaf import confirm_right
from scionary.answers.putting_right import PutRight, write_right
from scionary.answers.sale_gate import Held, Leaving, asked_mark, held_back, write_leaving
from scionary.answers.words import plural
from scionary.book.models import Plant
from scionary.web.pages import nursery_of

_ASKED = "ask_"  # before a group's key: its answer


def ask_first(request: HttpRequest, kind: str, plants: Sequence[Plant], payload: dict[str, Any], moment: Any) -> HttpResponse | None:
    """The question, while it is open; None for what needs none, or when all of it was answered."""
    if kind != "left":
        return None
    held, answers = held_back(plants, payload, moment, nursery_of(request)), decided(request)
    mark, seen = asked_mark(held), str(request.POST.get("asked", ""))
    if all(answers.get(each.key) in dict(each.choices) for each in held) and seen in ("", mark):
        return None
    count = len(plants)
    context = {
        "held": [(each, f"{_ASKED}{each.key}", answers.get(each.key)) for each in held],
        "one": len(held) == 1,
        "mark": mark,
        "missed": bool(seen),
        "changed": bool(seen) and seen != mark,
        "typed": _typed(request, held),
        "heading": plants[0].spoken if count == 1 else plural(count, "plant", "plants"),
        "rest": count - sum(len(each.plants) for each in held),
    }
    return render(request, "plants/before_sale.html", context)


def decided(request: HttpRequest) -> dict[str, str]:
    """What was answered, by group."""
    return {name.removeprefix(_ASKED): str(value) for name, value in request.POST.items() if name.startswith(_ASKED)}


def write_as_decided(request: HttpRequest, kind: str, plants: Sequence[Plant], payload: dict[str, Any], **given: Any) -> PutRight:
    """Write the event about each plant; of leaving, as was answered, and of a name only where a leaf could tell it."""
    if kind == "name_confirmed":
        return confirm_right(plants, payload, nursery_of(request), **given)
    if kind != "left":
        return write_right(kind, [plant.pk for plant in plants], payload, **given)
    given.pop("cultivar", None)
    asked = str(request.POST.get("asked", ""))
    return write_leaving(plants, payload, decided(request), nursery_of(request), asked=asked, **given)


def written_of(done: PutRight, plants: Sequence[Plant]) -> list[Plant]:
    """The plants of which it is now written; of those that leave, not the ones left out."""
    gone = done.gone if isinstance(done, Leaving) else None
    return [plant for plant in plants if gone is None or plant.pk in gone]


def _typed(request: HttpRequest, held: Sequence[Held]) -> list[tuple[str, str]]:
    """What the form holds already, to be sent again with the answer."""
    skipped = {"csrfmiddlewaretoken", "asked", *(f"{_ASKED}{each.key}" for each in held)}
    return [(name, str(value)) for name, values in request.POST.lists() if name not in skipped for value in values]
