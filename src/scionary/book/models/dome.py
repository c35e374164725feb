"""Dome: a covered tray or case in which grafts heal."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.noun import Noun
from scionary.book.models.stock import PotKind
from scionary.book.texts import later

USUAL_MM = (520.7, 266.7)  # a common propagation tray inside; what a dome is taken for until somebody measures it
_INSIDE = [MinValueValidator(50.0), MaxValueValidator(20_000.0)]
_SHARE = [MinValueValidator(0.0), MaxValueValidator(100.0)]


class Dome(Noun):
    noun = "dome"

    name = models.CharField(max_length=60, unique=True, help_text=later("How you call it: Dome 2."))
    stands = models.CharField(max_length=120, blank=True, help_text=later("Where it stands: north window."))
    length_mm = models.FloatField(default=USUAL_MM[0], validators=_INSIDE, help_text=later("Inside length."))
    width_mm = models.FloatField(default=USUAL_MM[1], validators=_INSIDE, help_text=later("Inside width."))
    height_mm = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(20.0), MaxValueValidator(5_000.0)],
        help_text=later("From the tray to the cover's top."),
    )
    shade_pct = models.FloatField(
        null=True, blank=True, validators=_SHARE, help_text=later("Of the sun that its cloth takes away; empty: no cloth.")
    )
    vents_cm2 = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(1.0), MaxValueValidator(100_000.0)], help_text=later("All vents open.")
    )
    mat_w = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(1.0), MaxValueValidator(2_000.0)], help_text=later("Power of its heat mat.")
    )
    mat_c = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0.0), MaxValueValidator(45.0)],
        help_text=later("What the mat's thermostat holds."),
    )
    room_c = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0.0), MaxValueValidator(40.0)],
        help_text=later("What the room or house around it is kept at, at least; empty: it stands in the open."),
    )
    pot_kind = models.ForeignKey(PotKind, on_delete=models.PROTECT, null=True, blank=True, help_text=later("The pots that stand in it."))
    away = models.JSONField(
        default=list, blank=True, help_text="When it is not to be had for grafts: from and until, days, one entry a time."
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def is_usual(self) -> bool:
        """Whether it has the size of the usual tray, which nobody may have measured."""
        return (self.length_mm, self.width_mm) == USUAL_MM


class DomeState(models.Model):
    """Folded from a dome's events; written by the fold alone."""

    dome_id = models.UUIDField(primary_key=True)
    watered_at = models.DateTimeField(null=True)
    vent_pct = models.FloatField(null=True)
    vented_at = models.DateTimeField(null=True)
    treated_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)
    disputed = models.JSONField(default=list)
