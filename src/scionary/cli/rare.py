"""What `plan --rare` shows: how to stage the few grafts of a name worth keeping."""

from __future__ import annotations

from scionary.cli.terminal import say, say_json, table


def show_rare(name: str, scions: int, days: int, domes: int | None, methods: int, *, as_json: bool) -> None:
    """The stagings of so many grafts of a cultivar, the surest first."""
    from scionary.answers.called import called
    from scionary.answers.rare import RareAsk, rare
    from scionary.answers.words import percent

    known = called(name).cultivar
    answer = rare(RareAsk(scions, known, name, days=days, domes=domes, methods=methods))
    if as_json:
        say_json(answer.to_dict())
        return
    say(answer.sentence)
    say(answer.why)
    if answer.guard:
        say(f"Look: {answer.guard}")
    rows = [[one.staging.name, "+".join(str(b.grafts) for b in one.staging.batches), percent(one.chance)] for one in answer.stagings]
    table(["staging", "batches", "at least one takes"], rows)
    for cost in dict.fromkeys(cost for one in answer.stagings for cost in one.staging.costs):
        say(f"  costs: {cost}")
    for assumed in answer.assumptions:
        say(f"  assumes: {assumed}")
