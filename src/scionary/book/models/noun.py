"""What all nouns share: an id made where the row is written."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from scionary.book.ids import uuid7
from scionary.book.texts import later


class Noun(models.Model):
    """An ordinary row that a person edits; each edit also writes a before/after event."""

    noun: ClassVar[str]  # the word in a subject's key, such as "dome" in "dome:0190..."

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    note = models.TextField(blank=True)
    retired = models.BooleanField(default=False, help_text=later("No longer offered; its history stays."))

    class Meta:
        abstract = True

    @property
    def key(self) -> str:
        return f"{self.noun}:{self.pk}"
