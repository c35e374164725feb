"""Sensor, its readings (one compressed array a sensor and UTC day), and raw files kept by their hash."""

from __future__ import annotations

from django.db import models

from scionary.book.models.dome import Dome
from scionary.book.models.noun import Noun


class Sensor(Noun):
    noun = "sensor"

    name = models.CharField(max_length=80, unique=True)
    dome = models.ForeignKey(Dome, on_delete=models.PROTECT, null=True, blank=True, related_name="sensors")
    salt_tests = models.JSONField(
        default=list, blank=True, help_text="What salt tests found: from (a day), offset_pct to add and doubt_pct, one entry a test."
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class RawFile(models.Model):
    """A file as it was given, kept by the SHA-256 of its bytes."""

    sha256 = models.CharField(primary_key=True, max_length=64)
    name = models.CharField(max_length=200)
    kind = models.CharField(max_length=20)
    received_at = models.DateTimeField()
    data = models.BinaryField()


class SensorDay(models.Model):
    """One UTC day of one sensor: rows of time (s), temperature (°C), relative humidity (%), compressed."""

    sensor = models.ForeignKey(Sensor, on_delete=models.CASCADE, related_name="days")
    day = models.DateField()
    count = models.PositiveIntegerField()
    data = models.BinaryField()

    class Meta:
        ordering = ["sensor_id", "day"]
        constraints = [models.UniqueConstraint(fields=["sensor", "day"], name="one_array_a_sensor_and_day")]
