"""Cultivar: a named kind."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.noun import Noun


class Cultivar(Noun):
    noun = "cultivar"

    spoken = models.CharField(max_length=60, unique=True, help_text="The name said aloud: Red Tarn.")
    botanical = models.CharField(max_length=200, blank=True, help_text="The full name: Acer palmatum 'Red Tarn'.")
    price = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)])
    later_survival = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(1)],
        help_text="Share of takes that become finished plants, 0 to 1; empty: not known.",
    )

    class Meta:
        ordering = ["spoken"]

    def __str__(self) -> str:
        return self.spoken
