"""The form for a tray: its inside, the pots, and what else may be known."""

from __future__ import annotations

from typing import Any

from django import forms

from scionary.answers.tray import PotAsk, TrayAsk
from scionary.book.models import Dome, Nursery, PotKind
from scionary.book.texts import later
from scionary.language import say
from scionary.web.typing_in import LengthField

_SHAPES = [("square", later("square")), ("round", later("round"))]
# Field, label, smallest and largest in mm, example in mm and in inches.
_FIRST = (
    ("length", later("Inside length of the tray"), 10.0, 20_000.0, "540", "21 1/4"),
    ("width", later("Inside width"), 10.0, 20_000.0, "280", "11"),
    ("pot", later("Pot, across its rim"), 5.0, 2_000.0, "98", "3 7/8"),
)
_MORE = (
    ("other", later("Another kind of pot beside them, across its rim"), 5.0, 2_000.0, "165", "6 1/2"),
    ("clearance", later("Free room between pots, for leaves"), 0.0, 500.0, "10", "3/8"),
    ("tolerance", later("How much a rim gives"), 0.0, 50.0, "1", "1/16"),
    ("cover", later("Height from the tray's floor to the cover"), 10.0, 5_000.0, "180", "7"),
    ("lean", later("How far the cover's walls lean in"), 0.0, 2_000.0, "40", "1 1/2"),
    ("pot_height", later("Height of the pots"), 1.0, 2_000.0, "90", "3 1/2"),
    ("scion", later("From the rim to the scion's tip"), 0.0, 3_000.0, "70", "2 3/4"),
    ("bench_length", later("Length of a bench"), 10.0, 100_000.0, "3000", "120"),
    ("bench_width", later("Width of the bench"), 10.0, 20_000.0, "900", "36"),
    ("wall", later("The tray's wall and rim, on each side"), 0.0, 500.0, "5", "1/4"),
)
_UNSAID = {"shape": "square", "other_shape": "square"}
_MORE_FIELDS = ("count", "other", "other_shape", *(name for name, *_ in _MORE[1:]))


class TrayForm(forms.Form):
    """A tray and its pots; sizes of the book's first dome and smallest pot stand there to begin with."""

    def __init__(self, *args: Any, nursery: Nursery, **given: Any) -> None:
        super().__init__(*args, **given)
        if self.is_bound:
            self.data = {**_UNSAID, **{name: self.data[name] for name in self.data}}
        self._add(nursery.length_unit, _FIRST, required=True)
        self.fields["shape"] = forms.ChoiceField(choices=_SHAPES, label=say("Its shape"))
        self.fields["count"] = forms.IntegerField(
            min_value=1, max_value=500, required=False, label=say("How many of them"), help_text=say("Empty: as many as there is room for.")
        )
        self._add(nursery.length_unit, _MORE[:1], required=False)
        self.fields["other_shape"] = forms.ChoiceField(choices=_SHAPES, label=say("Shape of the other kind"))
        self._add(nursery.length_unit, _MORE[1:], required=False)

    def _add(self, unit: str, fields: Any, *, required: bool) -> None:
        for name, label, low, high, in_mm, in_inches in fields:
            first, second = (in_inches, f"{in_mm} mm") if unit == "in" else (in_mm, f"{in_inches} in")
            shown = say("{length}, or with a unit: {other}", length=first, other=second)
            field = LengthField(unit=unit, low_mm=low, high_mm=high, required=required, label=label, help_text=shown)
            self.fields[name] = field

    @property
    def first_fields(self) -> list[forms.BoundField]:
        """What must be said."""
        return [self[name] for name in self.fields if name not in _MORE_FIELDS]

    @property
    def more_fields(self) -> list[forms.BoundField]:
        """What may be said."""
        return [self[name] for name in _MORE_FIELDS]

    @property
    def more_is_open(self) -> bool:
        return any(field.errors or (self.is_bound and field.value() not in (None, "", "square")) for field in self.more_fields)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if (data.get("bench_length") is None) != (data.get("bench_width") is None) and not self.errors:
            self.add_error("bench_width", say("A bench has a length and a width."))
        return data

    def ask(self) -> TrayAsk:
        """The question in mm."""
        data = self.cleaned_data
        pots = [PotAsk(data["pot"], data["shape"] == "round", data["count"])]
        if data["other"] is not None:
            pots.append(PotAsk(data["other"], data["other_shape"] == "round"))
        return TrayAsk(
            length_mm=data["length"],
            width_mm=data["width"],
            pots=tuple(pots),
            clearance_mm=data["clearance"] or 0.0,
            tolerance_mm=data["tolerance"] or 0.0,
            cover_mm=data["cover"],
            lean_mm=data["lean"] or 0.0,
            pot_height_mm=data["pot_height"],
            scion_mm=data["scion"],
            bench_length_mm=data["bench_length"],
            bench_width_mm=data["bench_width"],
            wall_mm=data["wall"] or 0.0,
        )


def usual_sizes() -> dict[str, Any]:
    """What the form begins with: the first dome's inside and the smallest pot."""
    dome = Dome.objects.filter(retired=False).order_by("name").first() or Dome()
    pot = dome.pot_kind or PotKind.objects.filter(retired=False).order_by("across_mm").first()
    size = {"pot": float(pot.across_mm), "shape": pot.shape} if pot else {}
    return {"length": float(dome.length_mm), "width": float(dome.width_mm), **size}
