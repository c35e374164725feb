"""A dome of the book as its physics needs it: what is written down, what is assumed, and how its own log corrects that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import numpy as np
from django.db.models import Count, Max

from scionary.answers.dome_doubts import CLOCK_DOUBT_S, SUN_DOUBT
from scionary.answers.dome_shade import shade_at, shade_changes
from scionary.answers.dome_weather import Around, around
from scionary.answers.kept import kept, last_kept
from scionary.answers.salt_tests import holding_test
from scionary.answers.weather import station_in_use
from scionary.book import queries
from scionary.book.models import Dome, Nursery, Sensor, SensorDay
from scionary.book.projection import records_of
from scionary.book.readings import load_readings
from scionary.book.settle import settle
from scionary.dome import DomeFit, DomeSpec, HeatMat, InsideAir, OutsideAir, SaltTest, Told, Vents, fit_dome
from scionary.errors import BadValue
from scionary.language import Words, mark, say
from scionary.units import temperature_words

RESULT_VERSION = 5
_FITS, _SUBJECT = "dome_fits", "all domes"
FEW_DOMES = 12  # that a terminal fits while it is waited for
FIT_DAYS = 14  # of the log's end that a fit takes; project default, unsourced
_LEAST_HOURS = 72
_HEIGHT_MM = 160.0  # project default, unsourced: a common cover over a tray
_VENTS_SHARE = 0.144  # vents of 200 cm² over a tray of 0.139 m²; project default, unsourced
_USUAL = DomeSpec()
SIZE_WORDS = Words(
    {
        "absorbed_fraction": mark("share of the sun that warms it"),
        "vent_factor": mark("how well its vents breathe, against the formula"),
        "heat_capacity_j_k": mark("heat that tray, pots and air store"),
        "evaporation_m_s": mark("how fast wet surfaces give vapour"),
        "leak_l_min": mark("air that it lets through when closed"),
        "temperature_error_k": mark("what the logger reads too warm"),
        "humidity_error_pct": mark("what the logger reads too moist"),
        "sun_late_min": mark("how late the sun of its weather stands"),
        "air_late_min": mark("how late the air of its weather stands"),
        "inner_w_m2k": mark("heat from air to cover"),
        "outer_w_m2k": mark("heat from cover to outside"),
        "film_area_m2": mark("wet floor"),
        "pot_area_m2": mark("wet pots and leaves"),
        "wind_factor": mark("air through a vent, by wind"),
        "stack_factor": mark("air through a vent, by lightness"),
        "vent_height_m": mark("height of a vent"),
    }
)
_NOT_WRITTEN = mark("not written down; assumed, project default, unsourced")
_WRITTEN = mark("written down with the dome")
_NOT_FITTED = Words(
    {
        "short": mark("Its log and the weather of the book share too few days for a fit."),
        "strange": mark("Its log does not look as if this dome, as it is written down, could have made it: see its sizes, shade and mat."),
        "none": mark("No log of its own stands behind this: the range is that of domes in general."),
    }
)


@dataclass(frozen=True, eq=False)
class FittedDome:
    """What a dome's log told; `fit` is None where `lacks` says why."""

    fit: DomeFit | None
    lacks: str
    from_s: float = 0.0
    to_s: float = 0.0
    room_c: float | None = None


@dataclass(frozen=True, eq=False)
class DomeModel:
    """A dome as it is foretold with: from its log where there is one, else as measured or assumed."""

    dome: Dome
    spec: DomeSpec
    largest_vent_cm2: float
    fit: DomeFit | None
    lacks: str
    to_s: float = 0.0

    @property
    def best(self) -> DomeFit | DomeSpec:
        return self.fit or self.spec

    @property
    def middle(self) -> DomeSpec:
        return self.fit.dome if self.fit else self.spec

    @property
    def is_known(self) -> bool:
        """Whether its log, or its written shade, says how much sun it gets."""
        return self.fit is not None or self.dome.shade_pct is not None

    @property
    def lacks_words(self) -> str:
        return _NOT_FITTED[self.lacks] if self.lacks else ""

    def outside(self, weather: Around) -> OutsideAir:
        """The air around this dome in such weather."""
        return weather.outside(self.dome.room_c)

    def vents_cm2(self, open_pct: float | None) -> float:
        return self.largest_vent_cm2 * (open_pct or 0.0) / 100.0

    def told(self) -> list[tuple[str, str, str]]:
        """What the log tells: name, number with its 90 % range or bound, and how far it is told."""
        return [_told(each) for each in self.fit.estimates] if self.fit else []

    def assumed(self, nursery: Nursery) -> list[tuple[str, str, str]]:
        """What is written down or assumed: name, value, where it comes from."""
        return [*_written(self, nursery), *_rest(self)]


def spec_of(dome: Dome) -> tuple[DomeSpec, float]:
    """The dome's physics as written down or assumed, and the area of all its vents in cm²."""
    length, width = dome.length_mm / 1e3, dome.width_mm / 1e3
    height = (dome.height_mm or _HEIGHT_MM) / 1e3
    floor = length * width
    scale = floor / _USUAL.tray_area_m2
    mat = HeatMat(dome.mat_w, dome.mat_c) if dome.mat_w is not None and dome.mat_c is not None else None
    spec = DomeSpec(
        volume_m3=floor * height,
        tray_area_m2=floor,
        cover_area_m2=floor + 2.0 * (length + width) * height,
        shade_share=(dome.shade_pct or 0.0) / 100.0,
        film_area_m2=_USUAL.film_area_m2 * scale,
        pot_area_m2=_USUAL.pot_area_m2 * scale,
        heat_capacity_j_k=_USUAL.heat_capacity_j_k * scale,
        mat=mat,
    )
    return spec, dome.vents_cm2 or floor * 1e4 * _VENTS_SHARE


def model_of(dome: Dome) -> DomeModel:
    """The dome with what its log told when it was last looked through; nothing is fitted here."""
    spec, largest = spec_of(dome)
    last = last_kept(_FITS, RESULT_VERSION, _SUBJECT)
    found: FittedDome | None = last[0].get(str(dome.pk)) if last else None
    if found is None or (found.fit is not None and (found.fit.given, found.room_c) != (spec, dome.room_c)):
        return DomeModel(dome, spec, largest, None, "none")
    return DomeModel(dome, spec, largest, found.fit, found.lacks, found.to_s)


def fits_are_behind() -> bool:
    """Whether a log, the weather or a dome changed since the domes were fitted."""
    content = _content()
    if not content[0][0]:
        return False
    last = last_kept(_FITS, RESULT_VERSION, _SUBJECT)
    return last is None or last[1] != repr(content)


def learn_fits() -> dict[str, FittedDome]:
    """Fit every dome that has a log, unless nothing changed; for the worker, not for a page."""
    content = repr(_content())
    nursery = queries.nursery()
    return kept(
        _FITS, RESULT_VERSION, _SUBJECT, content, lambda: {str(dome.pk): fitted(dome, nursery) for dome in _logged()}, stamp=content
    )


def learn_few_fits() -> None:
    """The same for a terminal, which has no worker beside it, where the domes are so few that it is a matter of seconds."""
    if len(_logged()) <= FEW_DOMES and fits_are_behind():
        learn_fits()


def fitted(dome: Dome, nursery: Nursery) -> FittedDome:
    """Fit a dome to the end of its log under the weather that the book holds."""
    sensor = Sensor.objects.filter(dome=dome, retired=False).order_by("name").first()
    rows = _end_of_log(sensor)
    if sensor is None or len(rows) < 2:
        return FittedDome(None, "none")
    zone = nursery.zone
    begin, end = (datetime.fromtimestamp(float(at), zone) for at in (rows[0, 0], rows[-1, 0]))
    weather = around(nursery, begin, end)
    if weather is None or weather.hours_known < _LEAST_HOURS:
        return FittedDome(None, "short")
    return _fit(dome, weather, rows, holding_test(sensor, begin))


def vents_of(dome: Dome, largest_cm2: float) -> Vents:
    """How far the dome's vents stood open, as written down; before the first word of them they are taken as closed."""
    changes = {moment.timestamp(): share for moment, share in vent_shares(dome)}
    times = sorted(changes)
    return Vents([0.0, *times], [0.0, *(largest_cm2 * changes[at] for at in times)])


def vent_shares(dome: Dome) -> list[tuple[datetime, float]]:
    """Each setting of the vents in order, as a share of all open."""
    records = settle(records_of([dome.key])[dome.key])
    return [(each.happened_at, float(each.payload["open_pct"]) / 100.0) for each in records if each.kind == "vented"]


def water_written(dome: Dome) -> tuple[datetime, float] | None:
    """When water was last topped up to a depth that was written down, and that depth in mm."""
    records = settle(records_of([dome.key])[dome.key])
    found = [
        (each.happened_at, float(each.payload["water_mm"])) for each in records if each.kind == "watered" and "water_mm" in each.payload
    ]
    return found[-1] if found else None


def _fit(dome: Dome, weather: Around, rows: np.ndarray, salt: SaltTest | None) -> FittedDome:
    spec, largest = spec_of(dome)
    inside = InsideAir(rows[:, 0], rows[:, 1], np.clip(rows[:, 2], 0.0, 100.0))
    bare, outside = _under_its_cloth(dome, spec, weather.outside(dome.room_c), float(rows[0, 0]))
    try:
        doubts = {"clock_doubt_s": CLOCK_DOUBT_S, "sun_doubt_share": SUN_DOUBT}
        fit = fit_dome(bare, outside, inside, vents_of(dome, largest), rng=0, salt=salt, **doubts)
        fit = replace(fit, given=spec, dome=replace(fit.dome, shade_share=spec.shade_share))
    except BadValue as error:  # too few hours, or the log wants a dome that cannot be
        return FittedDome(None, "short" if error.name == "inside" else "strange")
    lacks = "strange" if fit.strange else ""
    return FittedDome(None if lacks else fit, lacks, float(rows[0, 0]), float(rows[-1, 0]), dome.room_c)


def _under_its_cloth(dome: Dome, spec: DomeSpec, outside: OutsideAir, since_s: float) -> tuple[DomeSpec, OutsideAir]:
    """Where the shade changed during a log: the dome without any, under the sun that each day's cloth let through."""
    changes = shade_changes(dome)
    if not changes or changes[-1][0].timestamp() <= since_s:
        return spec, outside
    left = 1.0 - shade_at(changes, outside.time_s)
    return replace(spec, shade_share=0.0), replace(outside, solar_w_m2=outside.solar_w_m2 * left)


def _end_of_log(sensor: Sensor | None) -> np.ndarray:
    """The last days that the dome's first sensor wrote, as it wrote them: a fit weighs a salt test by its doubt."""
    last = SensorDay.objects.filter(sensor=sensor).aggregate(last=Max("day"))["last"] if sensor else None
    if sensor is None or last is None:
        return np.empty((0, 3))
    rows = load_readings(sensor)
    rows = rows[rows[:, 0] >= rows[-1, 0] - FIT_DAYS * 86_400.0]
    return rows[np.append(True, np.diff(rows[:, 0]) > 0.0)]


def _logged() -> Sequence[Dome]:
    return list(Dome.objects.filter(retired=False, pk__in=Sensor.objects.filter(retired=False, days__isnull=False).values("dome")))


def _content() -> tuple[Any, ...]:
    """What the fits rest on, in two queries and a few: logs, weather, what domes are made of. Vents alone ask for no new fit."""
    logs = tuple(SensorDay.objects.aggregate(days=Count("pk"), last=Max("day"), newest=Max("pk")).values())
    station = station_in_use()
    names = ("pk", "length_mm", "width_mm", "height_mm", "shade_pct", "vents_cm2", "mat_w", "mat_c", "room_c")
    made_of = tuple(Dome.objects.filter(retired=False).order_by("pk").values_list(*names))
    hung = tuple(Sensor.objects.filter(retired=False).order_by("pk").values_list("pk", "dome_id", "salt_tests"))
    return logs, (station.pk, station.read_at) if station else None, made_of, hung


def _digits(value: float) -> str:
    """Three digits that count, and no power of ten."""
    return f"{value:,.0f}" if abs(value) >= 1000.0 else f"{value:.3g}"


def _told(each: Any) -> tuple[str, str, str]:
    name, unit = SIZE_WORDS.get(each.name, each.name), each.unit
    if each.told is Told.UPPER_BOUND:
        return name, say("at most {high:.2g} {unit}", high=each.high, unit=unit), say("more its log cannot tell")
    value = f"{_digits(each.value)} {unit}".strip()
    number = say("{value}, {low} to {high}", value=value, low=_digits(each.low), high=_digits(each.high))
    return name, number, say("from its log") if each.told is Told.RANGE else say("its log does not tell it; assumed")


def _written(model: DomeModel, nursery: Nursery) -> list[tuple[str, str, str]]:
    dome = model.dome
    rows = [
        (say("height of the cover"), f"{dome.height_mm or _HEIGHT_MM:.0f} mm", dome.height_mm),
        (say("shade"), f"{dome.shade_pct or 0.0:.0f} %", dome.shade_pct),
        (say("all vents open"), f"{model.largest_vent_cm2:.0f} cm²", dome.vents_cm2),
    ]
    told = [(name, value, say(_NOT_WRITTEN) if written is None else say(_WRITTEN)) for name, value, written in rows]
    if model.spec.mat is not None and model.spec.mat.thermostat_c is not None:
        warmth = temperature_words(model.spec.mat.thermostat_c, nursery.temperature_unit)
        told.append((say("heat mat"), say("{power:.0f} W, held at {warmth}", power=model.spec.mat.power_w, warmth=warmth), say(_WRITTEN)))
    if dome.room_c is not None:
        room = temperature_words(dome.room_c, nursery.temperature_unit)
        told.append((say("the room around it"), say("at least {room}, as moist as outdoors, still air", room=room), say(_WRITTEN)))
    return told


def _rest(model: DomeModel) -> list[tuple[str, str, str]]:
    told = {each.name for each in model.fit.estimates if each.told is Told.RANGE} if model.fit else set()
    shown = [
        each for each in model.spec.assumptions() if each["name"] in SIZE_WORDS and each["name"] not in told and each["value"] is not None
    ]
    return [
        (SIZE_WORDS[each["name"]], f"{_digits(each['value'])} {each['unit']}".strip(), say("project default, unsourced")) for each in shown
    ]
