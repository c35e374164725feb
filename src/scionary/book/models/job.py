"""Job: long work done beside the pages, with its progress."""

from __future__ import annotations

from django.db import models

from scionary.book.ids import uuid7
from scionary.book.texts import later


class Job(models.Model):
    class Status(models.TextChoices):
        WAITING = "waiting", later("waiting")
        RUNNING = "running", later("under way")
        DONE = "done", later("done")
        STOPPED = "stopped", later("stopped")
        REFUSED = "refused", later("refused")
        FAILED = "failed", later("failed")

    id = models.UUIDField(primary_key=True, default=uuid7)
    work = models.CharField(max_length=60)
    arguments = models.JSONField(default=dict)
    status = models.CharField(max_length=10, choices=Status, default=Status.WAITING)
    fraction = models.FloatField(default=0.0)
    word = models.CharField(max_length=200, blank=True)
    stop_asked = models.BooleanField(default=False)
    result = models.JSONField(null=True)
    message = models.TextField(blank=True)
    asked_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-asked_at"]

    @property
    def over(self) -> bool:
        return self.status not in (self.Status.WAITING, self.Status.RUNNING)
