"""The demo's logger files, read back by the reader that reads everybody's."""

from datetime import UTC, date, datetime, timedelta
from functools import cache

import pytest

from scionary.demo.logger_files import logger_files
from scionary.demo.seasons import past_fillings, present_fillings
from scionary.demo.truth import air_faults
from scionary.dome import AirLimits, AirReport, air_report
from scionary.files.loggers import LoggerFile, read_logger

TODAY = date(2026, 11, 25)


@cache
def read_files() -> dict[str, LoggerFile]:
    return {name: read_logger(data, name=name, time_zone="Europe/Zurich") for name, data in logger_files(TODAY).items()}


def report_of(file: LoggerFile) -> AirReport:
    return air_report(file.time_s, file.temperature_c, file.relative_humidity_pct, AirLimits())


def while_closed(file: LoggerFile) -> AirReport:
    """The report until the vents were opened: in the evening of the 31st day of last summer's healing, and of Dome 2's, five days ago."""
    days = (file.time_s - file.time_s[0]) / 86_400
    opened = {False: 31.7, True: 35.7 if file.name.startswith("logger-2") else 99.0}[days[-1] > 35]
    closed = days < opened
    return air_report(file.time_s[closed], file.temperature_c[closed], file.relative_humidity_pct[closed], AirLimits())


def of_sensor(number: int) -> list[LoggerFile]:
    return [file for name, file in sorted(read_files().items()) if name.startswith(f"logger-{number}_")]


def test_the_same_day_and_seed_give_the_same_bytes() -> None:
    assert logger_files(TODAY) == logger_files(TODAY)
    assert logger_files(TODAY) != logger_files(TODAY, seed=21)


def test_every_sensor_has_a_past_month_and_domes_in_use_have_forty_days() -> None:
    assert len(read_files()) == 9
    for number in range(1, 7):
        assert of_sensor(number)[0].time_s[0] == pytest.approx(datetime(2026, 7, 26, tzinfo=UTC).timestamp(), abs=7 * 86_400)
    for number in range(1, 4):
        first, last = (datetime.fromtimestamp(of_sensor(number)[1].time_s[at], UTC).date() for at in (0, -1))
        assert first == TODAY - timedelta(days=41)  # midnight at Tarn Bridge lies on the day before in UTC
        assert last == TODAY - timedelta(days=1)


def test_units_and_decimal_commas_are_read_as_they_were_meant() -> None:
    assert {of_sensor(number)[0].understood.unit for number in (3, 5)} == {"F"}
    assert {of_sensor(number)[0].understood.delimiter for number in (2, 6)} == {";"}
    for file in read_files().values():
        assert 15 < file.temperature_c.mean() < 25
        assert 90 < file.relative_humidity_pct.mean() <= 100


def test_faults_of_the_loggers_are_found() -> None:
    assert [round((end - begin) / 3600) for begin, end in of_sensor(1)[0].gaps] == [9]
    assert of_sensor(2)[0].duplicates == 12
    assert "stuck" in {episode.kind for episode in report_of(of_sensor(3)[0]).episodes}
    assert (of_sensor(2)[0].relative_humidity_pct == 100.0).sum() >= 20 * 6


def test_the_air_report_finds_the_hot_afternoons_and_the_dry_weekends() -> None:
    faults = air_faults(past_fillings(TODAY, 20), present_fillings(TODAY, 20), TODAY)
    files = [of_sensor(2)[0], of_sensor(6)[0], of_sensor(2)[1], of_sensor(1)[1]]
    for fault, file in zip(faults, files, strict=True):
        kind = "heat" if fault.kind == "overheated" else "dry"
        found = [e for e in while_closed(file).episodes if e.kind == kind]
        longest = max(found, key=lambda e: e.hours)
        assert fault.begin <= datetime.fromtimestamp(longest.from_s, UTC).date() <= fault.end


def test_domes_where_nothing_went_wrong_were_neither_hot_nor_dry() -> None:
    for file in (of_sensor(1)[0], of_sensor(3)[0], of_sensor(4)[0], of_sensor(5)[0], of_sensor(3)[1]):
        assert not {"heat", "dry"} & {episode.kind for episode in while_closed(file).episodes}
