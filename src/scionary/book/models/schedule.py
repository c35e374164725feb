"""Schedules that were worked out, and what suppliers offer."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.ids import uuid7
from scionary.book.models.noun import Noun
from scionary.book.texts import later
from scionary.language import say


class KeptSchedule(models.Model):
    """One schedule as it was worked out or moved by hand: a result, never a fact; what is taken to the bench is an accepted plan."""

    id = models.UUIDField(primary_key=True, default=uuid7)
    season = models.PositiveSmallIntegerField(db_index=True)
    made_at = models.DateTimeField()
    content = models.JSONField()

    class Meta:
        ordering = ["-made_at", "-id"]


class StockOffer(Noun):
    """What a supplier sells of one kind of rootstock, in which packs, and how long it takes."""

    noun = "offer"

    supplier = models.CharField(max_length=80, help_text=later("Who sells them."))
    kind = models.CharField(max_length=120, help_text=later("Which rootstock: Acer palmatum; or the genus alone."))
    packs = models.JSONField(default=list, help_text="Packs: size, price, at_most (empty: as many as you like).")
    lead_weeks = models.FloatField(
        default=0, validators=[MinValueValidator(0), MaxValueValidator(260)], help_text=later("Weeks from order to arrival.")
    )
    delivery = models.FloatField(
        default=0, validators=[MinValueValidator(0), MaxValueValidator(1e6)], help_text=later("Money for one delivery.")
    )

    class Meta:
        ordering = ["kind", "supplier"]

    def __str__(self) -> str:
        return say("{kind} from {supplier}", kind=self.kind, supplier=self.supplier)

    def clean(self) -> None:
        packs = self.packs if isinstance(self.packs, list) else []
        if not 1 <= len(packs) <= 12 or not all(_is_pack(pack) for pack in packs):
            raise ValidationError({"packs": say("Packs are a size and a price each, one to twelve of them: 25 for 30.")})


def _is_pack(pack: Any) -> bool:
    if not isinstance(pack, dict):
        return False
    size, price, most = pack.get("size"), pack.get("price", 0), pack.get("at_most")
    whole = isinstance(size, int) and 1 <= size <= 100_000
    return whole and isinstance(price, int | float) and 0 <= price <= 1e9 and (most is None or (isinstance(most, int) and most >= 0))
