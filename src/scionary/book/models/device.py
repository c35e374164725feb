"""Device, and the blocks of code numbers leased to it."""

from __future__ import annotations

from django.db import models

from scionary.book.ids import uuid7


class Device(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid7)
    name = models.CharField(max_length=60, unique=True)
    added_at = models.DateTimeField()
    user = models.ForeignKey("auth.User", on_delete=models.SET_NULL, null=True, blank=True, related_name="devices")
    token_sha256 = models.CharField(max_length=64, blank=True, db_index=True, help_text="Of the token that it sends its records with.")
    seen_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True, help_text="From then on nothing is taken from it.")


class CodeLease(models.Model):
    """Numbers first … first + count - 1 belong to one device; unused ones are never issued again."""

    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="leases")
    first = models.PositiveIntegerField(unique=True)
    count = models.PositiveIntegerField()
    used = models.PositiveIntegerField(default=0)
    leased_at = models.DateTimeField()

    class Meta:
        ordering = ["first"]
