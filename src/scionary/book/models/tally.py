"""Tally: results from before the book, counted and not followed one by one."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models

from scionary.book.models.cultivar import Cultivar
from scionary.book.models.method import Method
from scionary.book.models.noun import Noun
from scionary.book.models.stock import RootstockLot
from scionary.book.texts import later
from scionary.language import say


class Tally(Noun):
    noun = "tally"

    class Stage(models.TextChoices):
        FIRM = "firm", later("firm")
        GROWING = "growing", later("growing")
        IN_LEAF = "in_leaf", later("in leaf the next spring")

    cultivar = models.ForeignKey(Cultivar, on_delete=models.PROTECT, related_name="tallies")
    season = models.PositiveSmallIntegerField(null=True, blank=True)
    grafted_on = models.DateField(null=True, blank=True)
    method = models.ForeignKey(Method, on_delete=models.PROTECT, null=True, blank=True)
    lot = models.ForeignKey(RootstockLot, on_delete=models.PROTECT, null=True, blank=True)
    grafts = models.PositiveIntegerField()
    takes = models.PositiveIntegerField(null=True, blank=True, help_text="Empty: not known.")
    stage = models.CharField(max_length=10, choices=Stage, null=True, blank=True, help_text="Empty: the record does not say which.")
    source = models.CharField(max_length=160, blank=True, help_text="File and row that it came from.")

    class Meta:
        ordering = ["season", "cultivar__spoken"]

    def clean(self) -> None:
        if self.takes is not None and self.grafts is not None and self.takes > self.grafts:
            raise ValidationError(
                {
                    "takes": say(
                        "{takes} takes of {grafts} grafts; there cannot be more takes than grafts.", takes=self.takes, grafts=self.grafts
                    )
                }
            )
