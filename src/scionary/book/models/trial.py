"""Trial: a question put to the grafts, with the lot that was drawn for each place of each dome."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.noun import Noun
from scionary.book.models.tally import Tally
from scionary.book.texts import later
from scionary.language import say

FEWEST_ARMS, MOST_ARMS = 2, 4


class Trial(Noun):
    noun = "trial"

    name = models.CharField(max_length=60, unique=True, help_text=later("How you call it: Film or rubber."))
    question = models.CharField(max_length=200, blank=True, help_text=later("What you want to know."))
    arms = models.JSONField(default=list, help_text="What is compared: two to four names.")
    stage = models.CharField(max_length=10, choices=Tally.Stage, default=Tally.Stage.FIRM, help_text=later("What counts as a take."))
    cultivars = models.JSONField(default=list, blank=True, help_text="Ids of the cultivars that take part; empty: any.")
    whole_dome = models.BooleanField(default=False, help_text=later("A dome gets one arm as a whole."))
    difference = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.01), MaxValueValidator(0.9)], help_text=later("The difference that matters.")
    )
    begins_on = models.DateField(help_text=later("Grafts from this day on belong to it."))
    made_at = models.DateTimeField()
    seed = models.PositiveBigIntegerField(help_text="The lot that was drawn.")
    layout = models.JSONField(default=list, help_text="dome (id), name, filling, places, arms (positions), one entry a filling of a dome.")
    remarks = models.JSONField(default=list, blank=True, help_text="What the layout cannot show, in words.")
    left_out = models.JSONField(default=list, blank=True, help_text="dome (id), filling, place, why: what did not go as laid out.")

    class Meta:
        ordering = ["-begins_on", "name"]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        arms = self.arms if isinstance(self.arms, list) else []
        if not FEWEST_ARMS <= len(arms) <= MOST_ARMS or not all(isinstance(arm, str) and arm.strip() for arm in arms):
            raise ValidationError(
                {"arms": say("A trial compares {fewest} to {most} things, each with a name.", fewest=FEWEST_ARMS, most=MOST_ARMS)}
            )
        if len({arm.casefold() for arm in arms}) < len(arms):
            raise ValidationError({"arms": say("Two things that are compared have the same name.")})
        for block in self.layout if isinstance(self.layout, list) else []:
            _check_block(block, len(arms))


def _check_block(block: Any, arms: int) -> None:
    """A filling of a dome: as many arms as places, no place twice."""
    known = isinstance(block, dict) and {"dome", "name", "filling", "places", "arms"} <= set(block)
    if not known or not block["places"] or len(block["places"]) != len(block["arms"]):
        raise ValidationError({"layout": say("A filling of a dome does not say which arm stands at which place.")})
    if len(set(block["places"])) < len(block["places"]) or not all(arm in range(arms) for arm in block["arms"]):
        raise ValidationError(
            {"layout": say("{filling}: a place stands there twice, or an arm that the trial does not have.", filling=block["name"])}
        )
