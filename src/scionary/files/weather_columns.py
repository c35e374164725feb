"""Which column of a weather file is what: by the meaning of its heading, in the languages and short codes of weather services."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from scionary.errors import BadFile
from scionary.files.stamps import looks_like_date
from scionary.files.tables import Table, cell_text, make_table
from scionary.language import mark, say

QUANTITIES = {
    "temperature_max": mark("highest temperature"),
    "temperature_min": mark("lowest temperature"),
    "temperature": mark("temperature"),
    "humidity_max": mark("highest humidity"),
    "humidity_min": mark("lowest humidity"),
    "humidity": mark("humidity"),
    "rain": mark("rain"),
    "wind": mark("wind"),
    "solar": mark("solar radiation"),
}
TIMES = {"date": "date", "clock": "time of day", "year": "year", "month": "month", "day": "day", "hour": "hour", "station": "station"}
_HIGH = r"max|high|h(?:ö|oe)chst|tageshoch"
_LOW = r"min(?!ute)|low|tiefst"
_TEMPERATURE = r"temp|^t2m|celsius|fahrenheit|°\s?[cf]\b|grad c"
_HUMIDITY = r"humid|\brh(?:um)?\b|feucht|humed|vocht|umidit"
_CODES = {
    "temperature_max": {"tmax", "tx", "txk", "tempmax", "temp_max", "tasmax", "mx2t", "maxt"},
    "temperature_min": {"tmin", "tn", "tnk", "tempmin", "temp_min", "tasmin", "mn2t", "mint"},
    "temperature": {"tavg", "tmean", "tg", "tmk", "tm", "tas", "tt_tu", "t", "air_temp", "tmpf", "tmpc", "tair"},
    "humidity": {"rh", "rhum", "hum", "upm", "rf_tu", "relh", "humid", "rhavg", "hurs", "ug"},
    "rain": {"prcp", "precip", "rr", "rsk", "rain", "ppt", "pr", "pcp", "r1"},
    "wind": {"awnd", "fm", "ff", "ws", "wspd", "wind", "fg", "sknt", "u2", "wind_speed"},
    "solar": {"srad", "rs", "ghi", "rg", "rsds", "swdown", "solar"},
}
_WORDS = {
    "temperature_max": rf"(?=.*(?:{_TEMPERATURE}))(?=.*(?:{_HIGH}))|^(?:daily )?(?:high|maximum|maxima|max)$",
    "temperature_min": rf"(?=.*(?:{_TEMPERATURE}))(?=.*(?:{_LOW}))|^(?:daily )?(?:low|minimum|minima|min)$",
    "temperature": rf"(?:{_TEMPERATURE})(?!.*(?:{_HIGH}|{_LOW}))",
    "humidity_max": rf"(?=.*(?:{_HUMIDITY}))(?=.*(?:{_HIGH}))",
    "humidity_min": rf"(?=.*(?:{_HUMIDITY}))(?=.*(?:{_LOW}))",
    "humidity": rf"(?:{_HUMIDITY})(?!.*(?:{_HIGH}|{_LOW}))",
    "rain": r"precip|rain|niederschlag|regen|pluie|lluvia|neerslag|pioggia|prcp",
    "wind": r"wind|vent\b|viento",
    "solar": r"solar|radiation|shortwave|globalstrahlung|global rad|irradiance|strahlung|rayonnement|radiaci",
}
_NOT = {
    "temperature": r"dew|taupunkt|rosée|soil|boden|ground|feels|apparent|wet.?bulb|index|chill|water|grass|gras|record|normal"
    r"|[-_ ]5 ?cm|depth|qual|flag|time|attribut",
    "humidity": r"soil|specific|absolute|qual|flag|time",
    "rain": r"prob|chance|hours|duration|snow|rate|type|intens|qual|flag|form|indik|days|time|\bytd\b|attribut",
    "wind": r"dir|gust|chill|max|deg\b|richtung|b(?:ö|oe)|rafale|spitze|beaufort|qual|flag|time|run|attribut",
    "solar": r"sunshine|dauer|uv|longwave|diffus|direct|clear|net|qual|flag|time|panel",
}
_TIME_WORDS = {
    "date": r"date|datum|fecha|time|zeit|valid|when|jour|día|dia\b|tag\b|^day$|day of record|mess_datum",
    "clock": r"^(?:time|clock|uhrzeit|hour|heure|hora|stunde|time of day)\b",
    "year": r"^(?:year|yr|yyyy|jahr|année|annee|año|ano|jaar)$",
    "month": r"^(?:month|mon|mo|mm|monat|mois|mes|maand)$",
    "day": r"^(?:day|dy|dd|tag|jour|día|dia|dag|mday)$",
    "hour": r"^(?:hour|hr|hh|stunde|heure|hora|uur)$",
    "station": r"^(?:station|station[_ ]?(?:id|name)?|stations_id|stid|site|origin|location|name|ort)$",
}
_UNIT_BEHIND = r"_(?:deg_?)?(?:[cf]|celsius|fahrenheit|mm|in|pct|percent|m/?s|km/?h|kmh|mph|kn|w/?m2|mj/?m2)$"
_LOOKED_AT = 60
_UNIT_CELL = re.compile(
    r"^(?:[\[(]?\s*(?:°?[cf]|mm|cm|in(?:ch(?:es)?)?|%|m/s|km/?h|mph|kn|kt|w/m.{0,2}|mj/m.{0,3}|hpa|iso8601|-)\s*[\])]?)?$", re.IGNORECASE
)


@dataclass(frozen=True)
class WeatherColumns:
    """Headings of the columns that were understood, by quantity and by part of the time."""

    quantities: Mapping[str, str]
    times: Mapping[str, str]
    assumptions: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()


def find_columns(table: Table, columns: Mapping[str, str | int] | None = None) -> tuple[Table, WeatherColumns]:
    """Find the headings' row and what each column holds; `columns` names some by heading or number (from 1) and wins over any guess."""
    table = _joined_units(_better_headed(table))
    named = {role: _named(table, role, wanted) for role, wanted in (columns or {}).items()}
    taken = set(named.values())
    times = {role: heading for role in TIMES if (heading := named.get(role) or _time_column(table, role, taken))}
    taken |= set(times.values())
    found, assumptions = dict[str, str](), list[str]()
    for role in QUANTITIES:
        column = named.get(role) or _quantity_column(table, role, taken, assumptions)
        if column is not None:
            found[role] = column
            taken.add(column)
    _check_found(table, found, times)
    used = {*found.values(), *times.values()}
    unread = tuple(header for header in table.headers if header.strip() and header not in used)
    return table, WeatherColumns(found, times, tuple(assumptions), unread)


def _better_headed(table: Table) -> Table:
    """The table with the headings that name most quantities: some files begin with a few lines about the place."""
    best, at = _known(table.headers), -1
    for number, row in enumerate(table.rows[:_LOOKED_AT]):
        known = _known([cell_text(cell) for cell in row.cells])
        if known > best:
            best, at = known, number
    if at < 0:
        return table
    rows = [(row.number, row.cells) for row in table.rows[at:]]
    kept = make_table(table.name, rows)
    return replace(kept, titles=(*table.titles, *(" ".join(map(cell_text, row.cells)) for row in table.rows[:at])), sheet=table.sheet)


def _known(headings: Sequence[str]) -> int:
    return sum(any(_fits(role, heading) for role in QUANTITIES) for heading in headings)


def _joined_units(table: Table) -> Table:
    """A line of units below the headings becomes part of them."""
    if not table.rows:
        return table
    first = [cell_text(cell) for cell in table.rows[0].cells]
    if not any(first) or not all(_UNIT_CELL.match(cell) for cell in first):
        return table
    headers = tuple(f"{header} {unit}".strip() for header, unit in zip(table.headers, first, strict=True))
    return replace(table, headers=headers, rows=table.rows[1:])


def _fits(role: str, heading: str) -> bool:
    shown = heading.casefold().strip()
    bare = re.sub(r"[\[(].*?[\])]|°\s?[cf]\b|[\s:]+$", "", shown).strip().replace(" ", "_").replace("-", "_")
    if {bare, re.sub(_UNIT_BEHIND, "", bare)} & _CODES.get(role, set()):
        return True
    words = shown.replace("_", " ")
    unwanted = _NOT[role.split("_")[0]]
    return bool(re.search(_WORDS[role], words)) and not re.search(unwanted, words)


def _quantity_column(table: Table, role: str, taken: set[str], assumptions: list[str]) -> str | None:
    fitting = [header for header in table.headers if header not in taken and _fits(role, header)]
    if len(fitting) > 1 and role == "rain":
        total = [header for header in fitting if re.search(r"precip|niederschlag|prcp", header, re.IGNORECASE)]
        fitting = total if len(total) == 1 else fitting
        if len(total) == 1:
            assumptions.append(say("of several columns of rain {heading!r} is taken, which counts all that falls", heading=total[0]))
    if len(fitting) > 1:
        raise BadFile(
            say(
                "{count} columns could be the {what}: {headings}.",
                count=len(fitting),
                what=say(QUANTITIES[role]),
                headings=", ".join(map(repr, fitting)),
            ),
            where=_where(table),
            remedy=say(
                "Choose one: --column '{number}={role}' in a terminal, or change the other headings.",
                number=table.headers.index(fitting[0]) + 1,
                role=role,
            ),
        )
    return fitting[0] if fitting else None


def _time_column(table: Table, role: str, taken: set[str]) -> str | None:
    fitting = [header for header in table.headers if header not in taken and re.search(_TIME_WORDS[role], header.casefold().strip())]
    if role == "date":
        dated = [header for header in table.headers if header not in taken and _share_of_dates(table, header) > 0.5]
        return next((header for header in dated if header in fitting), dated[0] if dated else None)
    if role == "clock":
        return next((header for header in fitting if _share_of_clocks(table, header) > 0.5), None)
    return fitting[0] if fitting else None


def _sample(table: Table, header: str) -> list[str]:
    at = table.headers.index(header)
    return [text for row in table.rows[:_LOOKED_AT] if (text := cell_text(row.cells[at]))]


def _share_of_dates(table: Table, header: str) -> float:
    cells = _sample(table, header)
    return sum(is_stamp(cell) for cell in cells) / len(cells) if cells else 0.0


def is_stamp(text: str) -> bool:
    """Whether a cell holds a day: in any written form, or as ten digits for day and hour."""
    return bool(re.fullmatch(r"(?:19|20)\d{6}(?:\d\d)?", text)) or (not re.fullmatch(r"\d{8}", text) and looks_like_date(text))


def _share_of_clocks(table: Table, header: str) -> float:
    cells = _sample(table, header)
    return sum(bool(re.match(r"^\d{1,2}:\d\d", cell)) for cell in cells) / len(cells) if cells else 0.0


def _named(table: Table, role: str, wanted: str | int) -> str:
    if role not in QUANTITIES and role not in TIMES:
        kinds = ", ".join([*QUANTITIES, *TIMES])
        raise BadFile(
            say("there is no kind of column called {role!r}.", role=role), where=table.name, remedy=say("Kinds are {kinds}.", kinds=kinds)
        )
    text = str(wanted).strip()
    if text.isascii() and text.isdigit() and 1 <= int(text) <= len(table.headers):
        return table.headers[int(text) - 1]
    folded = [header.casefold().strip() for header in table.headers]
    if text.casefold() in folded:
        return table.headers[folded.index(text.casefold())]
    remedy = say("Columns are: {listed}.", listed=_listed(table))
    raise BadFile(say("there is no column {wanted!r}.", wanted=wanted), where=_where(table), remedy=remedy)


def _listed(table: Table) -> str:
    return ", ".join(f"{at} {header!r}" for at, header in enumerate(table.headers, 1))


def _where(table: Table) -> str:
    return say("{name}, line {line}", name=table.name, line=table.header_row)


def _check_found(table: Table, found: Mapping[str, str], times: Mapping[str, str]) -> None:
    where = _where(table)
    listed = _listed(table)
    if "date" not in times and not {"year", "month", "day"} <= times.keys():
        raise BadFile(
            say("no column of dates was found."),
            where=where,
            remedy=say("Name it: --column '1=date' in a terminal. Columns are: {listed}.", listed=listed),
        )
    if not found:
        raise BadFile(
            say("no heading names a temperature, rain, humidity, wind or solar radiation."),
            where=where,
            remedy=say("Name them: --column '2=temperature_max' in a terminal. Columns are: {listed}.", listed=listed),
        )
