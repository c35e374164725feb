"""Mother tree and bag of scions: where the wood comes from."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.cultivar import Cultivar
from scionary.book.models.noun import Noun
from scionary.book.texts import later


class MotherTree(Noun):
    noun = "tree"

    class GrowsIn(models.TextChoices):
        GROUND = "ground", later("in the ground")
        POT = "pot", later("in a pot")

    class SoilKind(models.TextChoices):
        SAND = "sand", later("sand")
        LOAMY_SAND = "loamy_sand", later("loamy sand")
        SANDY_LOAM = "sandy_loam", later("sandy loam")
        LOAM = "loam", later("loam")
        SILT_LOAM = "silt_loam", later("silt loam")
        SILT = "silt", later("silt")
        SILTY_CLAY = "silty_clay", later("silty clay")
        CLAY = "clay", later("clay")

    name = models.CharField(max_length=80, unique=True, help_text=later("How you call it: the old tree by the gate."))
    cultivar = models.ForeignKey(Cultivar, on_delete=models.PROTECT, related_name="trees")
    raised_from = models.ForeignKey(
        "book.Plant",
        on_delete=models.DO_NOTHING,
        db_constraint=False,
        null=True,
        blank=True,
        related_name="mother_trees",
        help_text=later("The plant of this book that it grew from."),
    )
    sticks_a_season = models.PositiveIntegerField(
        null=True, blank=True, help_text=later("Sticks it can give in a season; empty: not known.")
    )

    grows_in = models.CharField(max_length=6, blank=True, choices=GrowsIn, help_text=later("Where its roots are."))
    soil = models.CharField(max_length=12, blank=True, choices=SoilKind, help_text=later("Of a tree in the ground; empty: loam is taken."))
    root_depth_mm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(50), MaxValueValidator(5_000)])
    pot_litres = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(5_000)])
    mouth_mm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(20), MaxValueValidator(10_000)])
    crown_mm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(50), MaxValueValidator(30_000)])

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ScionBag(Noun):
    noun = "bag"

    class Care(models.TextChoices):
        STALKS_LEFT = "stalks_left", later("blades off, stalks left")
        HALF_BLADES = "half_blades", later("half of each blade off")
        WHOLE_LEAVES = "whole_leaves", later("leaves left whole")
        DORMANT = "dormant", later("dormant, no leaves")

    name = models.CharField(max_length=80, unique=True)
    tree = models.ForeignKey(MotherTree, on_delete=models.PROTECT, related_name="bags", null=True, blank=True)
    cultivar = models.ForeignKey(Cultivar, on_delete=models.PROTECT, related_name="bags")
    cut_on = models.DateField(null=True, blank=True)
    cut_at = models.DateTimeField(null=True, blank=True, help_text=later("When the first stick was cut: the clock of freshness."))
    sticks = models.PositiveIntegerField(null=True, blank=True)
    care = models.CharField(max_length=12, blank=True, choices=Care, help_text=later("What was done with the leaves."))
    stands = models.CharField(max_length=120, blank=True, help_text=later("Where it is kept: refrigerator, cool box."))
    code_number = models.PositiveIntegerField(null=True, blank=True, db_index=True)

    class Meta:
        ordering = ["-cut_on", "name"]

    def __str__(self) -> str:
        return self.name
