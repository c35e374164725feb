"""Bench day: what was set once before a run of grafts."""

from __future__ import annotations

from django.db import models

from scionary.book.models.cultivar import Cultivar
from scionary.book.models.dome import Dome
from scionary.book.models.method import Method
from scionary.book.models.noun import Noun
from scionary.book.models.stock import PotKind, RootstockLot
from scionary.book.models.tree import MotherTree, ScionBag
from scionary.language import say


class BenchDay(Noun):
    noun = "bench"

    day = models.DateField()
    cultivar = models.ForeignKey(Cultivar, on_delete=models.PROTECT, null=True, blank=True)
    method = models.ForeignKey(Method, on_delete=models.PROTECT, null=True, blank=True)
    lot = models.ForeignKey(RootstockLot, on_delete=models.PROTECT, null=True, blank=True)
    tree = models.ForeignKey(MotherTree, on_delete=models.PROTECT, null=True, blank=True)
    bag = models.ForeignKey(ScionBag, on_delete=models.PROTECT, null=True, blank=True)
    dome = models.ForeignKey(Dome, on_delete=models.PROTECT, null=True, blank=True)
    pot_kind = models.ForeignKey(PotKind, on_delete=models.PROTECT, null=True, blank=True)
    grafter = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["-day", "-id"]

    def __str__(self) -> str:
        return say("bench day {day}", day=self.day.isoformat())
