"""Photo: a picture kept with what it shows."""

from __future__ import annotations

from django.db import models

from scionary.book.models.noun import Noun
from scionary.book.models.readings import RawFile
from scionary.language import say


class Photo(Noun):
    """Made smaller than it was taken; what it shows is said by its `photographed` event."""

    noun = "photo"

    taken_at = models.DateTimeField()
    file = models.ForeignKey(RawFile, on_delete=models.PROTECT, related_name="photos")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()

    class Meta:
        ordering = ["-taken_at"]

    def __str__(self) -> str:
        return say("photo of {moment}", moment=f"{self.taken_at:%Y-%m-%d %H:%M}")
