"""What is done to a whole dome while walking its round: water, vents, a treatment, fallen stalks, a note."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django import forms

from scionary.answers.chances import sign_words
from scionary.book.commands import write_event
from scionary.book.fold import DOME_KINDS
from scionary.book.kinds import KINDS
from scionary.book.locks import chunks
from scionary.book.models import Event
from scionary.book.projection import with_corrections
from scionary.book.record import Answer
from scionary.book.settle import Record, settle
from scionary.book.texts import later
from scionary.errors import Refused
from scionary.language import say
from scionary.web.walk import Walk

VENTS = ((0, later("closed")), (33, later("a third")), (50, later("half")), (67, later("two thirds")), (100, later("open")))


class WholeForm(forms.Form):
    """One thing that was done; which one, the button says."""

    DID = {"water": "watered", "vents": "vented", "treat": "treated", "stalks": "observed", "note": "observed"}

    did = forms.ChoiceField(choices=[(name, name) for name in DID], widget=forms.HiddenInput)
    open_pct = forms.FloatField(min_value=0, max_value=100, required=False, widget=forms.HiddenInput)
    product = forms.CharField(
        max_length=80, required=False, label=later("Treated with"), widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    label_says = forms.CharField(
        max_length=500,
        required=False,
        label=later("What its label says"),
        help_text=later("Amount, wait, re-entry, in the label's own words."),
    )
    note = forms.CharField(max_length=2000, required=False, label=later("A note about the dome"))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        needed = {
            "vents": ("open_pct", say("Say how far.")),
            "treat": ("product", say("Name what it was treated with.")),
            "note": ("note", say("Write it.")),
        }
        field, told = needed.get(str(data.get("did")), ("", ""))
        if field and data.get(field) in (None, "") and field not in self.errors:
            self.add_error(field, told)
        return data

    @property
    def kind(self) -> str:
        return self.DID[self.cleaned_data["did"]]

    def payload(self) -> dict[str, Any]:
        did, data = self.cleaned_data["did"], self.cleaned_data
        fields = {"vents": ("open_pct",), "treat": ("product", "label_says"), "note": ("note",)}.get(did, ())
        said = {"seen": "stalks_picked_out"} if did == "stalks" else {}
        return said | {name: data[name] for name in fields if data[name] not in (None, "")}


@dataclass(frozen=True)
class Done:
    """Something that was done to the dome on the day of the walk, and still stands."""

    event: UUID
    at: Any
    words: str


def write_whole(walk: Walk, form: WholeForm, *, event_id: UUID, who: str) -> Answer:
    """Write it down at the walk's moment."""
    if walk.dome is None:
        raise Refused(say("this walk is of no one dome."), where=walk.heading, remedy=say("Open the round of a dome."))
    return write_event(form.kind, walk.dome.key, form.payload(), happened_at=walk.moment, now=walk.now, who=who, event_id=event_id)


def done_today(walk: Walk) -> list[Done]:
    """What was done to the dome on the day of the walk, the last first; a bare look is not told."""
    if walk.dome is None:
        return []
    own = dict(Event.objects.filter(subjects__key=walk.dome.key, kind__in=DOME_KINDS).order_by().values_list("pk", "happened_at"))
    corrections = (Event.objects.filter(target__in=chunk).order_by() for chunk in chunks(own))
    moved = {each.target for found in corrections for each in found if each.target}  # to another day, perhaps
    asked = {ident for ident, moment in own.items() if _day(moment, walk) == walk.day} | moved
    records = settle(with_corrections(*asked)) if asked else []
    here = [each for each in records if each.id in own and _day(each.happened_at, walk) == walk.day]
    told = [Done(each.id, each.happened_at, _words(each)) for each in here]
    return [done for done in reversed(told) if done.words]


def _day(moment: datetime, walk: Walk) -> date:
    return moment.astimezone(walk.nursery.zone).date()


def _words(record: Record) -> str:
    payload = record.payload
    if record.kind == "observed":
        return ", ".join(str(words) for words in (payload.get("seen") and sign_words(payload["seen"]), payload.get("note")) if words)
    if record.kind == "vented":
        share = round(payload.get("open_pct", 0))
        return say("vents {how_far}", how_far=dict(VENTS).get(share, say("{share} % open", share=share)))
    told = (str(payload[name]) for name in ("product", "reason", "label_says", "note") if payload.get(name))
    return ", ".join([KINDS[record.kind].words, *told])
