"""The form of sticks cut from a mother tree."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms

from scionary.answers.cuttings import just_cut
from scionary.answers.words import plural
from scionary.book.bags import Cut, usual_name
from scionary.book.commands import noon
from scionary.book.models import MotherTree, Nursery, ScionBag
from scionary.book.texts import later
from scionary.language import say
from scionary.web.pages import readable_days
from scionary.web.typing_in import DayField, Offering

_LATELY = timedelta(days=60)


class CutForm(forms.Form):
    """Sticks that were cut, now or on another day; what is asked again and again begins as it was last time."""

    sticks = forms.IntegerField(
        min_value=1, max_value=10_000, initial=12, label=later("How many sticks?"), widget=forms.NumberInput(attrs={"inputmode": "numeric"})
    )
    care = forms.ChoiceField(choices=[("", later("not said")), *ScionBag.Care.choices], required=False, label=later("The leaves"))
    stands = forms.CharField(
        max_length=120, required=False, label=later("Where is it kept?"), help_text=later("Cool box, refrigerator, wet cloth.")
    )
    name = forms.CharField(
        max_length=80, required=False, label=later("Name of the bag"), widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    on = DayField(required=False, label=later("Cut on"), help_text=later("Empty: today."), validators=readable_days())
    at = forms.TimeField(
        required=False,
        label=later("At"),
        input_formats=["%H:%M", "%H.%M"],
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text=later("Empty: now; on another day the time is not known then."),
        error_messages={"invalid": later("That is no time of day; write it like 7:30.")},
    )
    note = forms.CharField(max_length=2000, required=False, label=later("A note"), widget=forms.Textarea(attrs={"rows": 2}))

    another = forms.BooleanField(required=False, widget=forms.HiddenInput())  # that the same was cut again is meant

    first = ("sticks", "care", "stands")
    twice: ScionBag | None = None  # the bag that was written down a moment ago from the same words

    def __init__(self, *args: Any, tree: MotherTree, nursery: Nursery, now: datetime, is_written: bool = False, **options: Any) -> None:
        options.setdefault("initial", as_last_time(now.date()))
        super().__init__(*args, **options)
        self.tree, self.nursery, self.now, self.is_written = tree, nursery, now, is_written
        places = ScionBag.objects.exclude(stands="").order_by("stands").values_list("stands", flat=True).distinct()
        self.fields["stands"].widget = Offering(places[:50])
        self.fields["name"].help_text = say("Empty: {name}.", name=usual_name(tree, now))

    @property
    def first_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.first]

    @property
    def more_fields(self) -> list[forms.BoundField]:
        return [field for field in self.visible_fields() if field.name not in self.first]

    @property
    def more_is_wrong(self) -> bool:
        return any(field.errors for field in self.more_fields)

    def clean(self) -> dict[str, Any]:
        """What was cut lies in no future."""
        data = super().clean() or self.cleaned_data
        if not {"on", "at"} & set(self.errors) and self._moment(data)[0] > self.now + timedelta(minutes=1):
            self.add_error("on" if data.get("on") else "at", say("That lies ahead, and this says that it was cut: is it right?"))
        self._ask_of_another(data)
        return data

    def _ask_of_another(self, data: dict[str, Any]) -> None:
        """The same again, a moment later and from a page drawn anew, is asked about: the same page sent twice is one bag anyway."""
        last = just_cut(self.tree, now=self.now)
        same = last and all(data.get(name) == getattr(last, name) for name in ("sticks", "care", "stands"))
        if not same or data.get("another") or data.get("name") or data.get("on") or self.is_written:
            return
        self.twice = last
        self.add_error(
            None,
            say(
                "{sticks} were written down from it a moment ago. Was another bag cut?",
                sticks=plural(data["sticks"], "stick", "sticks"),
            ),
        )

    def cut(self) -> Cut:
        """What is written down."""
        data = self.cleaned_data
        moment, exact = self._moment(data)
        text = {name: " ".join(data[name].split()) for name in ("stands", "name")}
        return Cut(self.tree, data["sticks"], moment, exact, care=data["care"], note=data["note"].strip(), **text)

    def _moment(self, data: dict[str, Any]) -> tuple[datetime, bool]:
        """When, and whether that is known to the minute."""
        today = self.now.date()
        day: date = data.get("on") or today
        clock: time | None = data.get("at")
        if clock is not None:
            return datetime.combine(day, clock, self.nursery.zone), True
        return (self.now, True) if day == today else (noon(day, self.nursery), False)


def as_last_time(today: date) -> dict[str, Any]:
    """Leaf care and place of the latest bag, where that is not long ago."""
    last = ScionBag.objects.filter(cut_on__gte=today - _LATELY, cut_on__lte=today).order_by("-cut_on", "-id").first()
    return {"sticks": 12, **({"care": last.care, "stands": last.stands} if last else {})}
