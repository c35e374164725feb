"""Commands of the season: a weather file, and whether this is a morning to cut."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scionary.cli.bookless import with_or_without_book
from scionary.cli.choices import columns_named, wood_meant, yes_or_no
from scionary.cli.terminal import day, now, opened, read_file, say, say_json, table
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.cutting import CutAnswer
    from scionary.answers.weather_of_file import FileReport
    from scionary.book.models import Nursery

_SHOWN = 20
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]


def weather(
    file: Annotated[Path, typer.Argument(help="A weather file, by the day or by the hour: CSV, text or a spreadsheet.")],
    take_in: Annotated[bool, typer.Option("--take-in", help="Read it into the book; without this it is only looked at.")] = False,
    station: Annotated[str, typer.Option(help="With --take-in: the station's name; the one in use when left out.")] = "",
    forecast: Annotated[bool, typer.Option("--forecast", help="All of it is a forecast; days ahead are one in any case.")] = False,
    column: Annotated[
        list[str] | None, typer.Option(metavar="HEADER=WHAT", help="What a column holds: 'RSK=rain', '2=temperature'.")
    ] = None,
    unit: Annotated[list[str] | None, typer.Option(metavar="WHAT=UNIT", help="In which unit: 'temperature=F', 'wind=km/h'.")] = None,
    date_order: Annotated[str | None, typer.Option(help="dmy, mdy or ymd, where dates can be read in two ways.")] = None,
    time_zone: Annotated[str, typer.Option(help="The zone of the file's clock: Europe/Vienna, UTC+1.")] = "",
    of_station: Annotated[str | None, typer.Option(help="Which station, where the file holds several.")] = None,
    sheet: Annotated[str | None, typer.Option(help="The sheet of a workbook.")] = None,
    stands_for: Annotated[
        str,
        typer.Option(metavar="end|begin|moment|mixed", help="What the time of an hour's row stands for; found by its sun when left out."),
    ] = "",
    latitude: Annotated[float | None, typer.Option(help="Where it was written, south negative; the book's when left out.")] = None,
    longitude: Annotated[float | None, typer.Option(help="And west negative; with it the sun tells what rows stand for.")] = None,
    as_json: Json = False,
) -> None:
    """Say what a weather file holds: gaps, heat, frost, chill, rain; no book is needed. Exit code 1 when something in it is missing.

    Example: scionary weather station.csv --latitude 47.2
    """
    data = read_file(file)
    nursery = opened() if take_in else with_or_without_book()[0]
    from scionary.answers.weather_import import WeatherReading, accept_weather
    from scionary.answers.weather_of_file import report_of_file

    nursery.latitude_deg = _degrees("--latitude", latitude, 90.0, nursery.latitude_deg)
    nursery.longitude_deg = _degrees("--longitude", longitude, 180.0, nursery.longitude_deg)
    how = WeatherReading(time_zone, columns_named(column) or None, _units(unit), date_order, of_station, sheet, forecast, stands_for)
    if take_in:
        _take_in(accept_weather(data, file.name, now=now(), station=station, how=how), as_json=as_json)
        return
    report = report_of_file(data, file.name, nursery, now=now(), how=how)
    if as_json:
        say_json(report.to_dict())
    else:
        _show(report, nursery)
    if not report.whole:
        raise typer.Exit(1)


def _degrees(option: str, typed: float | None, most: float, known: float | None) -> float | None:
    if typed is not None and not -most <= typed <= most:
        below = "south" if option == "--latitude" else "west"
        raise Refused(f"{typed:g} is no {option[2:]}.", where=option, remedy=f"Give degrees from -{most:g} ({below}) to {most:g}.")
    return known if typed is None else typed


def _units(typed: list[str] | None) -> dict[str, str] | None:
    found: dict[str, str] = {}
    for text in typed or []:
        what, sign, named = (part.strip() for part in text.partition("="))
        if not sign or not what or not named:
            raise Refused(f"{text!r} names no unit.", where="--unit", remedy="Write WHAT=UNIT: 'temperature=F'.")
        found[what] = named
    return found or None


def _take_in(result: Any, *, as_json: bool) -> None:
    if as_json:
        say_json(result.to_dict())
        return
    say(result.words)
    for words in result.warnings:
        say(f"Look: {words}")


def _show(report: FileReport, nursery: Nursery) -> None:
    from scionary.files.problems import unread_words

    read = report.file
    say(f"{read.name}: {read.words()} Nothing is written.")
    say(report.holding.words)
    say("Columns: " + ", ".join(f"{heading} = {quantity.replace('_', ' ')}" for quantity, heading in read.understood.columns.items()) + ".")
    for words in filter(None, [*read.understood.assumptions, unread_words(read.understood.unread)]):
        say(f"Look: {words}")
    for problem in read.problems[:_SHOWN]:
        say(f"  line {problem.line}, {problem.column} {problem.text!r}: {problem.what}")
    if len(read.problems) > _SHOWN:
        say(f"  … and {len(read.problems) - _SHOWN} more; --json has all.")
    for first, last, days in report.holding.gaps[:_SHOWN]:
        say(f"  without temperatures: {first} to {last} ({days})")
    if report.heat:
        say(f"Heat: {report.heat.words}")
    if report.frost:
        say(f"Frost: {report.frost.words}")
        rows = [[y, last or "", first or "", "" if free is None else free] for y, last, first, free in report.frost.years]
        table(["year", "last frost", "first frost", "days between"], rows, right=(3,))
    if report.chill:
        table(
            ["spring of", "chill portions", "Utah units"],
            [[winter.words, winter.portions, winter.units] for winter in report.chill],
            right=(1, 2),
        )
    elif nursery.latitude_deg is None:
        say("Chill and day length need the place: --latitude 47.2")
    if report.rain_by_year():
        table(["year", "rain mm", "days not known"], [[y, f"{mm:.0f}", lost] for y, mm, lost in report.rain_by_year()], right=(1, 2))


def cut(
    tree: Annotated[str | None, typer.Option(help="The mother tree, by its name or cultivar; all of them when left out.")] = None,
    soaked: Annotated[str | None, typer.Option(metavar="YES|NO", help="Was it soaked in the last two days?")] = None,
    firm: Annotated[str | None, typer.Option(metavar="YES|NO", help="Were its leaves firm at dawn?")] = None,
    dry: Annotated[str | None, typer.Option(metavar="YES|NO", help="Are leaves and bark dry?")] = None,
    wood: Annotated[str | None, typer.Option(metavar="STAGE", help="dormant, bud-break, soft, half-ripe or ripe.")] = None,
    keep: Annotated[bool, typer.Option("--keep", help="Write these answers down at the tree, as on its page.")] = False,
    on: Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day (2026-07-31); today when left out.")] = None,
    assumptions: Annotated[bool, typer.Option("--assumptions", help="Say every limit that was used, and where it comes from.")] = False,
    as_json: Json = False,
) -> None:
    """Say whether this is a morning to cut scions, and which of the coming week. Exit code 1 when it is not.

    Example: scionary cut --tree 'Tree 1' --soaked yes --firm yes --dry yes --wood half-ripe
    """
    nursery = opened()
    answers = {"soaked": yes_or_no("--soaked", soaked), "firm_at_dawn": yes_or_no("--firm", firm), "leaves_dry": yes_or_no("--dry", dry)}
    stage = wood_meant(wood)
    today = day(on, nursery)
    if tree is None and (stage or keep or any(each is not None for each in answers.values())):
        remedy = (
            "Say at which tree that was seen: --tree NAME." if _of_all(nursery, today) else "The book holds none: write it down under Book."
        )
        raise Refused("no tree is named.", where="--tree", remedy=remedy)
    found = [_of_one(tree, answers, stage, nursery, today, keep=keep)] if tree else _of_all(nursery, today)
    if as_json:
        say_json(found[0].to_dict() if tree else [each.to_dict() for each in found])
    else:
        for answer in found:
            _show_cut(answer, nursery, whole=tree is not None)
        if not found:
            say("The book knows no mother tree yet; write one down under Book on the pages, or with the bench: --tree.")
        if assumptions:
            _show_limits(nursery)
    if not any(answer.rating == 0 for answer in found):
        raise typer.Exit(1)


def _of_one(name: str, answers: dict[str, bool | None], stage: str | None, nursery: Nursery, today: Any, *, keep: bool) -> CutAnswer:
    from scionary.answers.cutting import cut_today
    from scionary.answers.tree_looks import STAGE_OF
    from scionary.answers.yard import tree_named
    from scionary.book.commands import noon, write_event

    tree = tree_named(name)
    if keep and not stage and all(said is None for said in answers.values()):
        raise Refused("nothing was said.", where="--keep", remedy="Say what you saw: --soaked, --firm, --dry, --wood.")
    if keep:
        payload = {key: "yes" if said else "no" for key, said in answers.items() if said is not None} | ({"stage": stage} if stage else {})
        moment = now() if today == now().astimezone(nursery.zone).date() else noon(today, nursery)
        write_event("tree_seen", tree.key, payload, happened_at=moment, now=now())
    return cut_today(tree, nursery, today=today, answers={**answers, "stage": STAGE_OF[stage] if stage else None})


def _of_all(nursery: Nursery, today: Any) -> list[CutAnswer]:
    from scionary.answers.cutting import cut_all
    from scionary.book.models import MotherTree

    trees = list(MotherTree.objects.filter(retired=False).select_related("cultivar"))
    found = cut_all(trees, nursery, today=today)
    return [found[tree.pk] for tree in trees]


def _show_cut(answer: CutAnswer, nursery: Nursery, *, whole: bool) -> None:
    from scionary.answers.cutting import RATING_WORDS, morning_day, reason_words

    say(f"{answer.tree}: {RATING_WORDS[answer.rating]}. {reason_words(answer.why, nursery)}")
    if not whole:
        return
    for reason in answer.verdict.reasons:
        say(f"  {RATING_WORDS[reason.rating]}: {reason_words(reason.words, nursery)} ({reason.source})")
    if answer.unknown:
        say(f"Not known: {', '.join(answer.unknown)}.")
    for each in answer.week:
        say(f"  {morning_day(each)}: {reason_words(each.verdict.words, nursery)}")
    for words in answer.rests_on:
        say(f"  rests on: {words}")


def _show_limits(nursery: Nursery) -> None:
    from scionary.answers.cutting import limits_of, value_words

    for each in limits_of(nursery).assumptions():
        say(f"  assumes: {each['name'].replace('_', ' ')} {value_words(each['value'], each['unit'], nursery)} ({each['source']})")


def add_to(program: typer.Typer) -> None:
    program.command()(weather)
    program.command()(cut)
