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

    class Care(models.TextChoices):
        STALKS_LEFT = "stalks_left", "blades off, stalks left"
        HALF_BLADES = "half_blades", "half of each blade off"
        WHOLE_LEAVES = "whole_leaves", "leaves left whole"
        DORMANT = "dormant", "dormant, no leaves"

    name = models.CharField(max_length=80, unique=True)
    tree = models.ForeignKey(MotherTree, on_delete=models.PROTECT, related_name="bags", null=True, blank=True)
    cultivar = models.ForeignKey(Cultivar, on_delete=models.PROTECT, related_name="bags")
    cut_on = models.DateField(null=True, blank=True)
    cut_at = models.DateTimeField(null=True, blank=True, help_text="When the first stick was cut: the clock of freshness.")
    sticks = models.PositiveIntegerField(null=True, blank=True)
    care = models.CharField(max_length=12, blank=True, choices=Care, help_text="What was done with the leaves.")
    stands = models.CharField(max_length=120, blank=True, help_text="Where it is kept: refrigerator, cool box.")
    code_number = models.PositiveIntegerField(null=True, blank=True, db_index=True)

    class Meta:
        ordering = ["-cut_on", "name"]

    def __str__(self) -> str:
        return self.name
