"""Method: a way to join, and its after-care as data that a person edits."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.noun import Noun
from scionary.book.texts import later


class Method(Noun):
    """Defaults come from `book/practice.py`; each says where it is from."""

    noun = "method"

    class Joins(models.TextChoices):
        SIDE_VENEER = "side_veneer", later("side veneer")
        SIDE_INLAY = "side_inlay", later("side inlay under a bark flap")
        CLEFT = "cleft", later("cleft")
        WHIP_AND_TONGUE = "whip_and_tongue", later("whip-and-tongue")
        SPLICE = "splice", later("splice")
        TOP_WEDGE = "top_wedge", later("top wedge")
        SADDLE = "saddle", later("saddle")
        CHIP_BUD = "chip_bud", later("chip bud")
        T_BUD = "t_bud", later("T-bud")
        APPROACH = "approach", later("approach")
        BARK_GRAFT = "bark_graft", later("bark graft")

    name = models.CharField(max_length=60, unique=True)
    joins = models.CharField(
        max_length=20, blank=True, choices=Joins, help_text=later("Which cuts meet: advice on joining follows it; empty: no advice.")
    )
    leafy = models.BooleanField(default=False, help_text=later("The scion is in leaf when it is cut."))
    cut_low_mm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(1)])
    cut_high_mm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(1)])
    scion_nodes = models.PositiveSmallIntegerField(null=True, blank=True)
    grafts_a_stick = models.FloatField(default=2, validators=[MinValueValidator(0.1)])
    minutes_a_graft = models.FloatField(default=5, validators=[MinValueValidator(0.1)])
    ratio_low = models.FloatField(
        default=0.3, validators=[MinValueValidator(0.01)], help_text=later("Thinnest scion as a share of the stock's thickness.")
    )
    ratio_high = models.FloatField(
        default=1.0, validators=[MinValueValidator(0.01)], help_text=later("Thickest scion as a share of the stock's thickness.")
    )
    stock_low_mm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0.5), MaxValueValidator(500)])
    stock_high_mm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0.5), MaxValueValidator(500)])
    closed_days = models.PositiveSmallIntegerField(default=31)
    hardening_days = models.PositiveSmallIntegerField(default=14)
    after_care = models.JSONField(
        default=list, blank=True, help_text="Steps: step, day, every, until, open_pct, say, why, source, practice."
    )
    practices = models.JSONField(default=list, blank=True, help_text="Where growers differ: topic, practices (name, says, source), picked.")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def steps(self) -> list[dict[str, object]]:
        """After-care steps that apply under the practices picked."""
        picked = {topic["picked"] for topic in self.practices if topic.get("picked")}
        return [step for step in self.after_care if not step.get("practice") or step["practice"] in picked]
