"""The nursery: the one row of settings of a book."""

from __future__ import annotations

import zoneinfo

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from scionary.book.models.noun import Noun
from scionary.book.texts import later
from scionary.language import say


def known_zone(name: str) -> None:
    if name not in zoneinfo.available_timezones():
        raise ValidationError(say("{name!r} is no time zone; give one such as Europe/Zurich or UTC.", name=name))


class Nursery(Noun):
    noun = "nursery"

    class Skill(models.TextChoices):
        BEGINNER = "beginner", later("beginner")
        PRACTISED = "practised", later("practised")
        EXPERIENCED = "experienced", later("experienced")

    name = models.CharField(max_length=80, default="My nursery")
    latitude_deg = models.FloatField(null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)])
    longitude_deg = models.FloatField(null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)])
    altitude_m = models.FloatField(null=True, blank=True, validators=[MinValueValidator(-500), MaxValueValidator(6000)])
    time_zone = models.CharField(max_length=60, default="UTC", validators=[known_zone])
    length_unit = models.CharField(max_length=2, choices=[("mm", later("millimetres")), ("in", later("inches"))], default="mm")
    temperature_unit = models.CharField(max_length=1, choices=[("C", "°C"), ("F", "°F")], default="C")
    paper = models.CharField(max_length=6, choices=[("A4", "A4"), ("letter", later("letter"))], default="A4")
    bench_hours_a_week = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(1000)])
    label_media = models.JSONField(
        default=list, blank=True, help_text="How long writing lasts: medium, months_sun, months_shade, source; empty: the defaults."
    )
    cut_limits = models.JSONField(default=dict, blank=True, help_text="Limits of a morning to cut that were moved, by name.")
    skill = models.CharField(max_length=12, choices=Skill, default=Skill.PRACTISED)
    union_assumptions = models.JSONField(default=dict, blank=True, help_text="What nobody knows of unions, where it was moved, by name.")
    compatibility = models.JSONField(
        default=list, blank=True, help_text="Which stocks carry which scions, before the usual rows: stock, scion, verdict, source, note."
    )
    plan_figures = models.JSONField(default=dict, blank=True, help_text="What a plan of the season assumes, where it was moved, by name.")
    demo_truth = models.JSONField(null=True, blank=True, help_text="The demo's own truth; empty in a real book.")

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.time_zone)
