"""Cultivar: a named kind."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.noun import Noun
from scionary.book.texts import later


class Cultivar(Noun):
    noun = "cultivar"

    spoken = models.CharField(max_length=60, unique=True, help_text=later("The name said aloud: Red Tarn."))
    botanical = models.CharField(max_length=200, blank=True, help_text=later("The full name: Acer palmatum 'Red Tarn'."))
    trade_designation = models.CharField(
        max_length=80, blank=True, help_text=later("The name it is sold under, where that is not its own name.")
    )
    protected = models.BooleanField(default=False, help_text=later("Somebody holds a plant breeder's right or patent on it."))
    protected_until = models.DateField(null=True, blank=True, help_text=later("Last day of the protection, as far as you know."))
    protection_register = models.CharField(max_length=120, blank=True, help_text=later("Where to look it up."))
    traits = models.JSONField(default=dict, blank=True, help_text="What it looks like: trait and value.")
    price = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)])
    later_survival = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(1)],
        help_text=later("Share of takes that become finished plants, 0 to 1; empty: not known."),
    )

    class Meta:
        ordering = ["spoken"]

    def __str__(self) -> str:
        return self.spoken
