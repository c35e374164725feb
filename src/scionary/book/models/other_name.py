"""Other name: what else a cultivar is called, written or sold as."""

from __future__ import annotations

from django.db import models

from scionary.book.models.cultivar import Cultivar
from scionary.book.models.noun import Noun
from scionary.book.texts import later


class OtherName(Noun):
    noun = "other_name"

    class Kind(models.TextChoices):
        SYNONYM = "synonym", later("another accepted name")
        MISSPELLING = "misspelling", later("a misspelling")
        JOINED = "joined", later("was kept as a cultivar of its own")

    name = models.CharField(max_length=60, unique=True, help_text=later("As it is written or said elsewhere."))
    cultivar = models.ForeignKey(Cultivar, on_delete=models.PROTECT, related_name="other_names")
    kind = models.CharField(max_length=12, choices=Kind, default=Kind.SYNONYM)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
