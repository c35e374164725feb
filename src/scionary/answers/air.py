"""The air in a dome: what its sensor wrote, judged against the limits, with the plants that stood there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.answers.air_edges import Edge, begin_of, clock_offsets, edges_of, last_written, midnight
from scionary.answers.air_light import DayLight
from scionary.answers.air_sensors import SensorsSaid, held_against
from scionary.answers.dome_model import vent_shares
from scionary.answers.salt_tests import load_tested, offsets_said
from scionary.answers.words import moment_words, plural, weekday_soon
from scionary.book.models import Dome, Nursery, Sensor
from scionary.dome import AirLimits, AirReport, Episode, air_report
from scionary.language import Words, mark, say
from scionary.units import temperature_words

_LIMIT_WORDS = Words(
    {
        "callus_low_c": mark("callus band, low end"),
        "callus_high_c": mark("callus band, high end"),
        "heat_limit_c": mark("harm above"),
        "humidity_low_pct": mark("too dry below"),
        "callus_base_c": mark("callus stands still below"),
        "callus_best_c": mark("callus forms fastest at"),
        "gap_after_intervals": mark("a gap after so many missed readings"),
        "hold_most_s": mark("a reading stands for at most"),
        "gap_after_s": mark("a gap after"),
        "stuck_after_s": mark("a sensor is called stuck after"),
        "saturated_pct": mark("may stand still at or above"),
        "callus_days_low": mark("a first look at the soonest after so many days at the best temperature"),
        "callus_days": mark("a first look after so many days at the best temperature"),
        "callus_days_high": mark("a first look at the latest after so many days at the best temperature"),
        "full_pct": mark("the humidity sensor is at its end at or above"),
        "full_after_s": mark("it is flagged when it stays at its end for"),
        "wet_pct": mark("leaves are taken as wet at or above"),
        "mould_pct": mark("grey mould germinates at or above"),
        "mould_low_c": mark("grey mould germinates from"),
        "mould_high_c": mark("grey mould germinates up to"),
        "mould_after_s": mark("grey mould needs, without a break,"),
        "day_from_h": mark("day begins at this hour by the clock"),
        "day_to_h": mark("night begins at this hour by the clock"),
    }
)
_READ_IT = mark("Read its file in under Domes.")
_WORST = {"heat": 3, "dry": 2, "gap": 1}
_KIND_WORDS = Words(
    {
        "heat": mark("too hot"),
        "dry": mark("too dry"),
        "opened": mark("drier, with open vents,"),
        "gap": mark("nothing written"),
        "stuck temperature": mark("thermometer stands still"),
        "stuck humidity": mark("humidity sensor stands still"),
        "gap temperature": mark("no temperature written"),
        "gap humidity": mark("no humidity written"),
        "full": mark("humidity sensor at its end"),
    }
)


@dataclass(frozen=True)
class EpisodeWords:
    """One stretch outside the limits, in the nursery's time; `what` it was and for how long."""

    kind: str
    begin: datetime
    end: datetime
    hours: float
    what: str

    @property
    def sentence(self) -> str:
        """Sat 14 Feb 09:30: too hot for 3.0 h, up to 32.1 °C."""
        return f"{moment_words(self.begin)}: {self.what}"


@dataclass(frozen=True)
class AirAnswer:
    """What the sensor of a dome wrote in a span of time. `report` is None when it wrote nothing."""

    sensor: Sensor
    dome: Dome | None
    begin: datetime
    end: datetime
    readings: npt.NDArray[np.float64]
    limits: AirLimits
    report: AirReport | None
    episodes: list[EpisodeWords]
    sentence: str
    why: str
    beside: SensorsSaid | None = None
    hours_unknown: float = 0.0  # in between and at the edges of the span
    salt: str = ""  # what was added to humidity after salt tests
    light: DayLight | None = None  # of a file's column of light

    @property
    def sensors(self) -> str:
        """The sensor's name, or those of two that are read as one."""
        return self.beside.names if self.beside and self.beside.merged else self.sensor.name

    def to_dict(self) -> dict[str, object]:
        return {
            "sensor": self.sensor.name,
            "beside": self.beside.to_dict() if self.beside else None,
            "dome": self.dome.name if self.dome else None,
            "from": self.begin.isoformat(),
            "to": self.end.isoformat(),
            "sentence": self.sentence,
            "salt_tests": self.salt,
            "report": self.report.to_dict() if self.report else None,
        }


def air_of(
    sensor: Sensor,
    nursery: Nursery,
    *,
    end: datetime,
    days: float = 7.0,
    limits: AirLimits | None = None,
    exactly: bool = False,
    second: Sensor | None = None,
) -> AirAnswer:
    """The last whole `days` of the nursery up to `end`; where the sensor stopped earlier and not `exactly` these are meant, its last.

    A `second` sensor of the same dome is held against it, and read as one with it where the two agree.
    """
    used, begin, shown_end = limits or AirLimits(), begin_of(end, days, nursery), end
    rows = load_tested(sensor, nursery, begin, end)
    last = None if len(rows) or exactly else last_written(sensor, end)
    if last is not None:
        shown_end = min(end, midnight(datetime.fromtimestamp(last, nursery.zone), nursery, days=1))
        begin = begin_of(shown_end, days, nursery)
        rows = load_tested(sensor, nursery, begin, shown_end)
    if not len(rows):
        nothing = (
            say("Nothing was written in these days.")
            if exactly
            else say("The sensor {sensor} has written nothing yet.", sensor=sensor.name)
        )
        return AirAnswer(sensor, sensor.dome, begin, end, rows, used, None, [], nothing, "" if exactly else say(_READ_IT))
    beside = None
    if second is not None:
        rows, beside = held_against(sensor, second, rows, begin, shown_end, nursery)
    report = air_report(rows[:, 0], rows[:, 1], rows[:, 2], used, utc_offset_s=clock_offsets(rows[0, 0], rows[-1, 0], nursery))
    edges = edges_of(sensor, rows, begin, end, report, used)
    opened = _while_open(sensor.dome, report)
    words = (_words(e, nursery, opened=e in opened) for e in report.episodes)
    episodes = sorted([*words, *map(_edge_words, edges)], key=lambda each: each.begin)
    unknown = report.hours_unknown + sum((min(e.end, shown_end) - e.begin).total_seconds() / 3600 for e in edges)
    sentence, why = _sentence(report, nursery, unknown, opened), _why(report, used, nursery, edges)
    salt = offsets_said([sensor, second] if second else [sensor], shown_end)
    return AirAnswer(sensor, sensor.dome, begin, shown_end, rows, used, report, episodes, sentence, why, beside, unknown, salt)


def air_of_readings(
    name: str, time_s: Any, temperature_c: Any, relative_humidity_pct: Any, nursery: Nursery, *, beside: SensorsSaid | None = None
) -> AirAnswer:
    """The air of a file that is not read into the book."""
    used = AirLimits()
    rows = np.column_stack([np.asarray(column, dtype=np.float64) for column in (time_s, temperature_c, relative_humidity_pct)])
    report = air_report(rows[:, 0], rows[:, 1], rows[:, 2], used, utc_offset_s=clock_offsets(rows[0, 0], rows[-1, 0], nursery))
    episodes = [_words(episode, nursery) for episode in report.episodes]
    begin, end = (datetime.fromtimestamp(float(at), nursery.zone) for at in (report.from_s, report.to_s))
    sensor = Sensor(name=name)
    sentence, why = _sentence(report, nursery, report.hours_unknown), _why(report, used, nursery, [])
    return AirAnswer(sensor, None, begin, end, rows, used, report, episodes, sentence, why, beside, report.hours_unknown)


def air_of_dome(dome: Dome, nursery: Nursery, *, end: datetime, days: float = 7.0, exactly: bool = False) -> AirAnswer | None:
    """The air of the dome by its sensors, the first two by name; None when it has none."""
    sensors = list(Sensor.objects.filter(dome=dome, retired=False).order_by("name").select_related("dome")[:2])
    if not sensors:
        return None
    second = sensors[1] if len(sensors) > 1 else None
    return air_of(sensors[0], nursery, end=end, days=days, exactly=exactly, second=second)


def worst_stretches(answer: AirAnswer, nursery: Nursery) -> list[EpisodeWords]:
    """The hottest, the driest and the longest silent stretches, each kind at most so often as `_WORST` says."""
    episodes = answer.report.episodes if answer.report else ()
    rank = {"heat": lambda each: -each.worst, "dry": lambda each: each.worst, "gap": lambda each: -each.hours}
    ranked = [sorted((each for each in episodes if each.kind == kind), key=rank[kind])[:most] for kind, most in _WORST.items()]
    return [_words(each, nursery) for kind in ranked for each in kind]


def limits_said(answer: AirAnswer, nursery: Nursery) -> list[tuple[str, str, str]]:
    """Each limit that was used: its name in words, its value in the person's unit, where it comes from."""
    used = [each for each in answer.report.assumptions if each["value"] is not None] if answer.report else []
    return [
        (_LIMIT_WORDS.get(each["name"], each["name"]), _limit(each["value"], each["unit"], nursery), say(each["source"])) for each in used
    ]


def _limit(value: float, unit: str, nursery: Nursery) -> str:
    if unit == "°C":
        return temperature_words(value, nursery.temperature_unit)
    if unit == "intervals":
        return say("{number:g} intervals", number=value)
    return f"{value / 3600:g} h" if unit == "s" else f"{value:g} {unit}".strip()


def _while_open(dome: Dome | None, report: AirReport) -> list[Episode]:
    """Dry stretches that began while the dome's vents stood open, as it was written down: meant so, no alarm."""
    dry = [each for each in report.episodes if each.kind == "dry"]
    if dome is None or not dry:
        return []
    settings = [(moment.timestamp(), share) for moment, share in vent_shares(dome)]
    return [each for each in dry if next((share for at, share in reversed(settings) if at <= each.from_s), 0.0) > 0.0]


def _words(episode: Episode, nursery: Nursery, *, opened: bool = False) -> EpisodeWords:
    begin, end = (datetime.fromtimestamp(at, nursery.zone) for at in (episode.from_s, episode.to_s))
    of_one = f"{episode.kind} {episode.measure}"
    what = _for_so_long("opened" if opened else of_one if of_one in _KIND_WORDS else str(episode.kind), episode.hours)
    if opened:
        what = say("{stretch}, down to {driest:.0f} %", stretch=what, driest=episode.worst)
        return EpisodeWords("opened", begin, end, episode.hours, what)
    if episode.kind == "heat":
        what = say("{stretch}, up to {hottest}", stretch=what, hottest=temperature_words(episode.worst, nursery.temperature_unit))
    elif episode.kind == "dry":
        what = say("{stretch}, down to {driest:.0f} %", stretch=what, driest=episode.worst)
    return EpisodeWords(str(episode.kind), begin, end, episode.hours, what)


def _for_so_long(kind: str, hours: float) -> str:
    return say("{what} for {hours}", what=_KIND_WORDS[kind], hours=_hours(hours))


def _edge_words(edge: Edge) -> EpisodeWords:
    return EpisodeWords("gap", edge.begin, edge.end, edge.hours, _for_so_long("gap", edge.hours))


def _hours(hours: float) -> str:
    return f"{hours:.1f} h" if hours < 10 else f"{hours:.0f} h" if hours < 72 else say("{days:.0f} days", days=hours / 24)


def _sentence(report: AirReport, nursery: Nursery, hours_unknown: float, opened: Sequence[Episode] = ()) -> str:
    heat = [e for e in report.episodes if e.kind == "heat"]
    dry = [e for e in report.episodes if e.kind == "dry" and e not in opened]
    if heat:
        worst = max(heat, key=lambda e: e.worst)
        when = datetime.fromtimestamp(worst.from_s, nursery.zone)
        return say(
            "Too hot on {day}: up to {hottest}. Shade first, vents second.",
            day=weekday_soon(when),
            hottest=temperature_words(worst.worst, nursery.temperature_unit),
        )
    if dry:
        hours = sum(e.hours for e in dry)
        return say(
            "Too dry for {hours:.0f} hours in {stretches}. Look at the water and the cover's edge.",
            hours=hours,
            stretches=plural(len(dry), "stretch", "stretches"),
        )
    if _humidity_unmeasured(report) and report.hours_temperature_known > _without_temperature(report, hours_unknown):
        return say("Humidity was not measured; the temperature was within the limits as far as it was written.")
    if report.hours_covered <= 0 or hours_unknown > report.hours_covered / 2:
        return say("Half of the time or more is not known: the sensor wrote too little to judge.")
    kinds = {e.kind for e in report.episodes}
    if "stuck" in kinds:
        return say("A sensor stood still: shake it, dry it, change its battery, and look again. Nothing else was outside the limits.")
    if "full" in kinds:
        return say("The humidity sensor was at its end for days: wet air does that, and a wet sensor too. Dry it once and compare.")
    return say("Within the limits as far as the sensor wrote.")


def _humidity_unmeasured(report: AirReport) -> bool:
    return not report.hours_humidity_known and report.hours_temperature_known > 0.0


def _without_temperature(report: AirReport, hours_unknown: float) -> float:
    """Hours without a temperature, of the hours in which one of the two is not known."""
    return max(hours_unknown + report.hours_covered - report.hours_temperature_known, 0.0)


def _why(report: AirReport, limits: AirLimits, nursery: Nursery, edges: Sequence[Edge]) -> str:
    unit = nursery.temperature_unit
    band = say(
        "{low} to {high}",
        low=temperature_words(limits.callus_low_c, unit),
        high=temperature_words(limits.callus_high_c, unit),
    )
    unmeasured = _humidity_unmeasured(report)
    lost = _without_temperature(report, report.hours_unknown) if unmeasured else report.hours_unknown
    unknown = [say("humidity not measured")] if unmeasured else []
    unknown += [say("{hours} not known in between", hours=_hours(lost))] if lost >= 0.5 else []
    gaps = "; ".join([*unknown, *(edge.words for edge in edges if edge.hours >= 0.5)]) or say("no gaps")
    return say(
        "{readings}, {gaps}. {hours_in_callus_band:.0f} hours in the callus band ({band}).",
        readings=plural(report.readings, "reading"),
        gaps=gaps,
        hours_in_callus_band=report.hours_in_callus_band,
        band=band,
    )
