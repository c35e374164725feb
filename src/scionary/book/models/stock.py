"""Pot kind and rootstock lot."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.noun import Noun
from scionary.book.texts import later

_SIZE = [MinValueValidator(10.0), MaxValueValidator(2000.0)]


class PotKind(Noun):
    noun = "pot"

    class Shape(models.TextChoices):
        SQUARE = "square", later("square")
        ROUND = "round", later("round")

    name = models.CharField(max_length=60, unique=True)
    shape = models.CharField(max_length=6, choices=Shape)
    across_mm = models.FloatField(validators=_SIZE, help_text=later("Side of a square pot, diameter of a round one, at the rim."))
    litres = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0.01)])

    class Meta:
        ordering = ["across_mm"]

    def __str__(self) -> str:
        return self.name


class RootstockLot(Noun):
    noun = "lot"

    name = models.CharField(max_length=60, unique=True, help_text=later("How you call it: 24-B."))
    species = models.CharField(max_length=120, blank=True)
    pot_kind = models.ForeignKey(PotKind, on_delete=models.PROTECT, null=True, blank=True)
    count = models.PositiveIntegerField(null=True, blank=True, help_text=later("Stocks in the lot at the start; empty: not counted."))
    arrived_on = models.DateField(null=True, blank=True)
    diameter_mm = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.5), MaxValueValidator(200)], help_text=later("Usual stem thickness.")
    )

    class Meta:
        ordering = ["-arrived_on", "name"]

    def __str__(self) -> str:
        return self.name
