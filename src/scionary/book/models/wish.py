"""Wish, and the plan that a person accepted."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.cultivar import Cultivar
from scionary.book.models.method import Method
from scionary.book.models.noun import Noun
from scionary.book.models.stock import PotKind
from scionary.book.texts import later


class Wish(Noun):
    noun = "wish"

    cultivar = models.ForeignKey(Cultivar, on_delete=models.PROTECT, related_name="wishes")
    wanted = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(100_000)])
    season = models.PositiveSmallIntegerField(help_text=later("The growing year in which it is grafted."))
    by_when = models.DateField(null=True, blank=True)
    method = models.ForeignKey(Method, on_delete=models.PROTECT, null=True, blank=True)
    pot_kind = models.ForeignKey(PotKind, on_delete=models.PROTECT, null=True, blank=True)
    assurance = models.FloatField(
        default=0.9, validators=[MinValueValidator(0.5), MaxValueValidator(0.999)], help_text=later("How sure you want to be.")
    )
    worth = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)

    class Meta:
        ordering = ["season", "cultivar__spoken"]

    def __str__(self) -> str:
        return f"{self.wanted} {self.cultivar}"


class AcceptedPlan(Noun):
    """What a person took to the bench: so many grafts of each cultivar in a season."""

    noun = "plan"

    season = models.PositiveSmallIntegerField()
    accepted_at = models.DateTimeField()
    lines = models.JSONField(default=list, help_text="cultivar (id), grafts, sticks, wanted.")
    schedule = models.JSONField(
        default=dict, blank=True, help_text="Weeks, ways and what was expected, as they stood then; empty: numbers alone were taken."
    )

    class Meta:
        ordering = ["-accepted_at"]
