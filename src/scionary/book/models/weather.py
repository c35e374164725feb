"""Weather station, and its readings: one compressed array a station, step and month."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.noun import Noun
from scionary.book.texts import later


class WeatherStation(Noun):
    noun = "station"

    name = models.CharField(max_length=80, unique=True)
    wind_height_m = models.FloatField(
        default=10.0,
        validators=[MinValueValidator(0.5), MaxValueValidator(200)],
        help_text=later("How high the wind is measured: 10 m at most stations, 2 m in many gardens."),
    )
    read_at = models.DateTimeField(null=True, blank=True, help_text=later("When a file of it was last read in."))
    forecast_read_at = models.DateTimeField(null=True, blank=True, help_text=later("When its forecast was read in."))

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class WeatherMonth(models.Model):
    """One month of a station, by the day or by the hour, as recorded or as forecast: rows of time and quantities, compressed.

    A file of days has one reading a day, so that an array a day would be a row a reading: a month holds them together.
    """

    class Step(models.TextChoices):
        DAY = "day", later("by the day")
        HOUR = "hour", later("by the hour")

    station = models.ForeignKey(WeatherStation, on_delete=models.CASCADE, related_name="months")
    step = models.CharField(max_length=4, choices=Step)
    forecast = models.BooleanField(default=False)
    month = models.DateField(help_text="Its first day; of hours in UTC, of days as they were written.")
    count = models.PositiveIntegerField()
    data = models.BinaryField()

    class Meta:
        ordering = ["station_id", "step", "forecast", "month"]
        constraints = [models.UniqueConstraint(fields=["station", "step", "forecast", "month"], name="one_array_a_station_step_and_month")]
