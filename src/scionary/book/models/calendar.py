"""Calendar feed: a secret address at which a calendar program reads what is due."""

from __future__ import annotations

from django.db import models

from scionary.book.ids import uuid7


class CalendarFeed(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid7)
    name = models.CharField(max_length=60)
    secret_sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    read_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True, help_text="From then on the address answers nothing.")

    class Meta:
        ordering = ["-made_at"]
