"""Event: something that happened, never overwritten."""

from __future__ import annotations

from django.db import models


class Subject(models.Model):
    """A thing that events are about, as `noun:id`; the row that a write locks."""

    key = models.CharField(primary_key=True, max_length=60)


class Event(models.Model):
    """Fold order is (happened_at, id). `recorded_at` is for people and is never used to fold."""

    id = models.UUIDField(primary_key=True)
    kind = models.CharField(max_length=20, db_index=True)
    happened_at = models.DateTimeField()
    who = models.CharField(max_length=60, blank=True)
    device = models.CharField(max_length=60, blank=True)
    payload = models.JSONField(default=dict)
    target = models.UUIDField(null=True, db_index=True, help_text="The event that a correction names; it may not have arrived yet.")
    subjects: models.ManyToManyField[Subject, EventSubject] = models.ManyToManyField(Subject, through="EventSubject", related_name="events")
    content_sha256 = models.CharField(max_length=64)
    recorded_at = models.DateTimeField()
    clock_offset_s = models.FloatField(default=0.0)

    class Meta:
        ordering = ["happened_at", "id"]


class EventSubject(models.Model):
    event = models.ForeignKey(Event, on_delete=models.PROTECT)
    subject = models.ForeignKey(Subject, on_delete=models.PROTECT)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["subject", "event"], name="one_link_a_subject_and_event")]


class KeptAside(models.Model):
    """Came under the id of a recorded event with other content: kept and shown, not folded."""

    event_id = models.UUIDField(db_index=True)
    content = models.JSONField()
    content_sha256 = models.CharField(max_length=64)
    received_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["event_id", "content_sha256"], name="each_variant_kept_once")]
