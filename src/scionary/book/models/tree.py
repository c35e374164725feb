"""Mother tree and bag of scions: where the wood comes from."""

from __future__ import annotations

from django.db import models

from scionary.book.models.cultivar import Cultivar
from scionary.book.models.noun import Noun


class MotherTree(Noun):
    noun = "tree"

    name = models.CharField(max_length=80, unique=True, help_text="How you call it: the old tree by the gate.")
    cultivar = models.ForeignKey(Cultivar, on_delete=models.PROTECT, related_name="trees")
    raised_from = models.ForeignKey(
        "book.Plant",
        on_delete=models.DO_NOTHING,
        db_constraint=False,
        null=True,
        blank=True,
        related_name="mother_trees",
        help_text="The plant of this book that it grew from.",
    )
    sticks_a_season = models.PositiveIntegerField(null=True, blank=True, help_text="Sticks it can give in a season; empty: not known.")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ScionBag(Noun):
    noun = "bag"

    name = models.CharField(max_length=80, unique=True)
    tree = models.ForeignKey(MotherTree, on_delete=models.PROTECT, related_name="bags", null=True, blank=True)
    cultivar = models.ForeignKey(Cultivar, on_delete=models.PROTECT, related_name="bags")
    cut_on = models.DateField(null=True, blank=True)
    sticks = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["-cut_on", "name"]

    def __str__(self) -> str:
        return self.name
