"""A season by weeks, in the terminal: solved, moved figures, changes tried, lists."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from scionary.cli.importing import columns_said
from scionary.cli.near_names import names_that_are_the_same, near_names, refuse_near_names
from scionary.cli.terminal import now, read_file, say, say_aside, say_json, table
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.plan_lists import PlanLists
    from scionary.answers.schedule import Schedule
    from scionary.answers.schedule_solving import Ask
    from scionary.answers.season_facts import WishFact


@dataclass(frozen=True)
class Typed:
    """What was typed about a season by weeks."""

    effort: str = "quick"
    seconds: float | None = None
    assurance: str | None = None
    tried: Sequence[str] = ()
    from_today: bool = False
    weeks: bool = False
    order: bool = False
    take: bool = False
    scores: bool = False
    wishes: Path | None = None
    solve: bool = False
    column: Sequence[str] = ()
    date_order: str | None = None
    same: Sequence[str] = ()
    new: bool = False

    @property
    def wanted(self) -> bool:
        """Whether anything of this was asked for."""
        return bool(self.solve or self.tried or self.from_today or self.weeks or self.order or self.scores or self.wishes or self.assurance)


def plan_by_weeks(typed: Typed, season: int, today: date, *, as_json: bool) -> None:
    """Solve, or show what is kept; exit code 1 when nothing can be grafted."""
    if typed.scores:
        _show_scores(as_json=as_json)
        return
    schedule = _schedule(typed, season, today)
    lists = _lists(schedule, today) if typed.order else None
    if as_json:
        _json(schedule, lists)
    else:
        _show(schedule, typed, lists)
    if typed.take:
        from scionary.answers.schedule_asking import take_schedule

        take_schedule(schedule, now=now())
        (say_aside if as_json else say)("Taken to the bench.")
    if not schedule.rows:
        raise typer.Exit(1)


def write_figures(assumed: Sequence[str]) -> None:
    """Move figures that are typed as name=value."""
    from scionary.answers.plan_figures import save_figures

    values = {}
    for text in assumed:
        name, equals, value = text.partition("=")
        if not equals:
            raise Refused(f"{text[:60]!r} moves nothing.", where="--assume", remedy="Write a name and a value: --assume worth=25.")
        values[name.strip()] = value.strip()
    if values:
        save_figures(values, now=now())


def write_offers(said: Sequence[str]) -> None:
    """Write down what suppliers offer."""
    from scionary.answers.stock_offers import save_offer

    for text in said:
        save_offer(text, now=now())


def _schedule(typed: Typed, season: int, today: date) -> Schedule:
    """The kept schedule where only its lists were asked for, else one that is solved now, and kept."""
    from scionary.answers.schedule_asking import accepted_schedule, own_of, planned
    from scionary.answers.schedule_kept import keep_schedule, kept_schedule
    from scionary.answers.schedule_trying import try_beside

    fresh = typed.solve or typed.from_today or typed.wishes or typed.assurance
    kept = None if fresh else kept_schedule(season)
    if typed.from_today and accepted_schedule(season) is None:
        raise Refused(
            "no plan by weeks was taken to the bench yet.", where="--from-today", remedy="Take one: scionary plan --solve --take."
        )
    if kept is None:
        ask = _ask(typed, season)
        if typed.wishes:
            kept = planned(ask, today=today, now=now(), wishes=_wishes_on_file(typed.wishes, typed, season, today))
        else:
            kept = keep_schedule(planned(replace(ask, own=own_of(season)), today=today, now=now()), now=now())
    if typed.tried and typed.wishes:
        raise Refused(
            "a change is tried on the book's own season.", where="--try", remedy="Take the wishes in first: scionary import wishes."
        )
    for text in typed.tried:
        kept = try_beside(kept, text, today=today)
    return kept


def _wishes_on_file(file: Path, typed: Typed, season: int, today: date) -> Sequence[WishFact]:
    """The wishes of a file, once it is settled which names are new and which are misspelt."""
    from scionary.answers.wish_import import WishReading
    from scionary.answers.wishes_on_file import wishes_on_file

    meant = names_that_are_the_same(typed.same)
    how = WishReading(columns_said(list(typed.column)), typed.date_order, season=season, cultivars=meant)
    found = wishes_on_file(read_file(file), file.name, today=today, how=how)
    if not typed.new:
        refuse_near_names(near_names(found, meant), file.name, new="--new")
    for words in found.told:
        say_aside(f"Look: {words}")
    return found.wishes


def _ask(typed: Typed, season: int) -> Ask:
    from scionary.answers.schedule_solving import Ask

    if typed.take and typed.wishes:
        raise Refused("wishes on file are not in the book.", where="--take", remedy="Take them in first: scionary import wishes.")
    return Ask(season, effort=typed.effort, seconds=typed.seconds, sure=_sure(typed.assurance), why=typed.effort != "quick")


def _sure(text: str | None) -> str | float:
    """Most value, or a share typed as such or as per cent."""
    if text is None or text in ("value", "wished"):
        return text or "wished"
    try:
        number = float(text.strip().removesuffix("%").replace(",", "."))
    except ValueError:
        number = 0.0
    share = round(number / 100, 6) if 50 <= number <= 99.9 else number
    if not 0.5 <= share <= 0.999:
        raise Refused(
            f"{text!r} is not how sure one can be.", where="--assurance", remedy="Give 0.5 to 0.999, 50 to 99.9 per cent, or value."
        )
    return share


def _lists(schedule: Schedule, today: date) -> PlanLists:
    from scionary.answers.plan_lists import plan_lists

    return plan_lists(schedule, today=today)


def _json(schedule: Schedule, lists: PlanLists | None) -> None:
    from scionary.answers.schedule_plain import to_plain

    told = {"sentence": schedule.sentence, "gap_words": schedule.gap_words, **to_plain(schedule)}
    say_json({**told, "lists": lists.to_dict()} if lists else told)


def _show(schedule: Schedule, typed: Typed, lists: PlanLists | None) -> None:
    say(f"{schedule.sentence} {schedule.gap_words} {schedule.search_words}".strip())
    if schedule.weeks and typed.weeks:
        _show_weeks(schedule)
    elif not (typed.order or typed.weeks):
        _show_rows(schedule)
    _show_wishes(schedule)
    _show_reasons(schedule)
    if lists:
        _show_lists(lists)
    for assumed in schedule.assumed:
        say(f"  assumes: {assumed.words}" + (f" [{assumed.figure}]" if assumed.figure else ""))


def _show_rows(schedule: Schedule) -> None:
    rows = []
    for row in schedule.rows:
        stocks = f"{row.lot} again" if row.regraft else row.lot
        rows.append([row.number, row.week, row.grafts, row.name, row.method, row.pot, ", ".join(row.domes), stocks, row.tree])
    table(["", "week of", "graft", "cultivar", "by", "pot", "dome", "stocks", "from tree"], rows, right=(0, 2))


def _show_weeks(schedule: Schedule) -> None:
    names = [each.dome for each in schedule.weeks[0].domes]
    rows = []
    for week in schedule.weeks:
        hours = f"{week.hours_used:.1f}" + (f" of {week.hours_there:g}" if week.hours_there is not None else "")
        rows.append([week.number, week.monday.isoformat(), week.grafts or "", hours, *(each.words for each in week.domes)])
    table(["week", "of", "graft", "hours", *names], rows, right=(0, 2))


def _show_wishes(schedule: Schedule) -> None:
    from scionary.answers.schedule_words import chance_under_most_value

    for wish in schedule.wishes:
        made = f" ({wish.made} made)" if wish.made else ""
        say(f"{wish.name}: graft {wish.grafts}{made}. {wish.words} {chance_under_most_value(schedule, wish)}".rstrip())
        if wish.why_cut:
            say(f"    {wish.why_cut}")


def _show_reasons(schedule: Schedule) -> None:
    from scionary.answers.schedule_drift import drift_words
    from scionary.answers.schedule_words import change_worth, money_beside, surety_words

    if surety := surety_words(schedule):
        say(f"How sure: {surety}")
    if schedule.clash:
        say(f"Not all wishes can be met: {schedule.clash}")
    for unused in schedule.unused:
        say(f"Left over: {unused}")
    for held in schedule.held_up:
        say(f"Held back: {held.words}")
    for change in schedule.changes:
        say(f"Would help: {change.words} {change_worth(change)}")
    for cheap in schedule.cheap:
        say(f"Cheap to make sure: {cheap.words}")
    for beside in [*schedule.tried, *([schedule.own] if schedule.own else [])]:
        kept = " It is the better one, and kept." if beside.won else ""
        say(f"Beside: {beside.words}: {money_beside(schedule, beside)}{kept}")
        for broken in beside.broken:
            say(f"    breaks: {broken}")
    for broken in schedule.broken:
        say(f"Breaks: {broken}")
    for words in drift_words(schedule.drift):
        say(words)


def _show_lists(lists: PlanLists) -> None:
    for words in lists.order_words:
        say(f"Order: {words}")
    for words in lists.stick_words:
        say(f"Cut: {words}")
    say(f"Used up: {lists.used_words}.")
    for raised in lists.raised:
        say(f"From seed: {raised.words}")


def _show_scores(*, as_json: bool) -> None:
    from scionary.answers.schedule_drift import plan_scores
    from scionary.answers.schedule_plain import to_plain

    scores = plan_scores()
    if as_json:
        say_json([{"sentence": score.sentence, **to_plain(score)} for score in scores])
        return
    for score in scores:
        say(score.sentence)
        table(
            ["cultivar", "wanted", "planned", "made", "expected", "range", "taken"],
            [[w.name, w.wanted, w.planned, w.made, round(w.expected), f"{w.low} to {w.high}", w.taken] for w in score.wishes],
            right=(1, 2, 3, 4, 6),
        )
    if not scores:
        say("No plan by weeks was taken to the bench yet.")
