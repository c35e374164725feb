"""Printed sheet: what a paper showed when it was printed, so that it can be keyed back however long after."""

from __future__ import annotations

from django.db import models

from scionary.book.models.bench import BenchDay
from scionary.book.models.dome import Dome
from scionary.book.models.noun import Noun
from scionary.book.texts import later


class PrintedSheet(Noun):
    """`layout` has all that the paper shows: its rows, each with its plant or its reserved code, in their order and places."""

    noun = "printed"

    class Kind(models.TextChoices):
        DOME_CARD = "dome_card", later("dome card")
        ROUND = "round", later("round sheet")
        BENCH = "bench", later("bench sheet")

    kind = models.CharField(max_length=10, choices=Kind)
    code = models.CharField(max_length=8, unique=True, help_text="The page's own small code.")
    printed_at = models.DateTimeField()
    layout = models.JSONField(default=dict)
    dome = models.ForeignKey(Dome, on_delete=models.PROTECT, null=True, blank=True, related_name="printed")
    bench = models.ForeignKey(BenchDay, on_delete=models.PROTECT, null=True, blank=True, related_name="printed")
    keyed_at = models.DateTimeField(null=True, blank=True, help_text="When it was keyed back last.")

    class Meta:
        ordering = ["-printed_at"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.code}"
