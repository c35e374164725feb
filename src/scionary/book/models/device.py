"""Device, and the blocks of code numbers leased to it."""

from __future__ import annotations

from django.db import models

from scionary.book.ids import uuid7


class Device(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid7)
    name = models.CharField(max_length=60, unique=True)
    added_at = models.DateTimeField()


class CodeLease(models.Model):
    """Numbers first … first + count - 1 belong to one device; unused ones are never issued again."""

    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="leases")
    first = models.PositiveIntegerField(unique=True)
    count = models.PositiveIntegerField()
    used = models.PositiveIntegerField(default=0)
    leased_at = models.DateTimeField()

    class Meta:
        ordering = ["first"]
