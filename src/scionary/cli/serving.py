"""Commands that start things: demo, serve, and the worker that serve starts."""

from __future__ import annotations

import os
import signal
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.keeper import Keeper
from scionary.cli.terminal import day, now, opened, say, say_json, write_file
from scionary.errors import Refused
from scionary.limits import longest_request

if TYPE_CHECKING:
    from collections.abc import Iterator

LOOPBACK = ("127.0.0.1", "localhost", "::1")
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - compared with, not bound to


def demo(
    seed: Annotated[int, typer.Option(help="Another seed makes another nursery.")] = 20,
    on: Annotated[str | None, typer.Option("--on", metavar="DATE", help="The day that the demo takes for today.")] = None,
    logger_files: Annotated[Path | None, typer.Option(help="Also write the demo's logger files into this folder.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON.")] = False,
) -> None:
    """Fill an empty book with Tarn Bridge, an invented nursery.

    Example: SCIONARY_BOOK=/tmp/demo.sqlite3 scionary demo
    """
    nursery = opened()
    from dataclasses import asdict

    from scionary.demo import logger_files as demo_logger_files
    from scionary.demo import make_demo

    today = day(on, nursery)
    made = make_demo(today=today, seed=seed, now=now(), progress=None if as_json else _progress)
    if logger_files:
        logger_files.mkdir(parents=True, exist_ok=True)
        for name, data in demo_logger_files(today, seed).items():
            write_file(logger_files / name, data)
    if as_json:
        say_json(asdict(made))
        return
    say("Tarn Bridge is ready: " + ", ".join(f"{value} {name}" for name, value in asdict(made).items()) + ".")


def _progress(fraction: float, word: str) -> bool:
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{fraction:4.0%} {word:<60}")
        sys.stderr.flush()
        if fraction >= 1:
            sys.stderr.write("\r" + " " * 66 + "\r")
    return True


def serve(
    port: Annotated[int, typer.Option(help="The port.", min=1, max=65535)] = 8000,
    host: Annotated[str, typer.Option(help="The address to listen on. Beyond this machine, every page asks for an account.")] = "127.0.0.1",
    account: Annotated[str | None, typer.Option(help="Make this account, or set its password (asked for, or SCIONARY_PASSWORD).")] = None,
    with_demo: Annotated[
        bool, typer.Option("--with-demo", help="Fill the book with the demo nursery if it is empty, and show the season first.")
    ] = False,
) -> None:
    """Serve the pages, with one worker process beside them for long work.

    Example: scionary serve --port 8000
    """
    _prepare_environment(host)
    opened()
    if account:
        set_account(account)
    if host not in LOOPBACK:
        need_account("scionary serve --host … --account NAME")
        say("Listening beyond this machine: every page asks for an account. The line is not encrypted; use it on a network that you trust.")
    if with_demo:
        _demo_and_summary()
    from waitress import serve as waitress_serve

    from scionary.answers.jobs import learn_beside
    from scionary.web.wsgi import application

    learn_beside(now=now())  # what a terminal wrote or a backup brought was not learned from yet
    with worker_beside():
        shown = "localhost" if host in LOOPBACK or host in EVERYWHERE else host
        say(f"\nThe pages: http://{shown}:{port}/   (end with Ctrl+C)")
        sys.stdout.flush()
        try:
            waitress_serve(application, host=host, port=port, threads=4, ident=None, max_request_body_size=longest_request(), _quiet=True)
        except OSError as error:
            raise Refused(
                f"port {port} cannot be used ({error.strerror}).", where="serve", remedy="Choose another: scionary serve --port 8001."
            ) from None


def _prepare_environment(host: str) -> None:
    """Django reads these when it is set up, so they are set before."""
    if host not in LOOPBACK:
        os.environ["SCIONARY_LOGIN"] = "1"
        known = [name for name in os.environ.get("SCIONARY_HOSTS", "").split(",") if name]
        os.environ["SCIONARY_HOSTS"] = ",".join([*known, *_own_names(host)])


def _own_names(host: str) -> list[str]:
    """The names under which this machine is reached: as told, else its host name and addresses."""
    if host not in EVERYWHERE:
        return [host]
    import socket

    name = socket.gethostname()
    addresses = {str(info[4][0]) for info in socket.getaddrinfo(name, None)} if name else set()
    return [name, f"{name}.local", *sorted(addresses)]


def set_account(name: str) -> None:
    """Make an account, or set its password."""
    from django.contrib.auth.models import User
    from django.contrib.auth.password_validation import validate_password
    from django.core.exceptions import ValidationError

    password = os.environ.get("SCIONARY_PASSWORD") or typer.prompt("Password", hide_input=True, confirmation_prompt=True)
    user = User.objects.filter(username=name).first() or User(username=name)
    try:
        validate_password(password, user)
        user.full_clean(exclude=["password"])
    except ValidationError as error:
        raise Refused(" ".join(error.messages), where="account", remedy="Choose another.") from None
    user.set_password(password)
    user.save()
    say(f"Account {name} is set.")


def need_account(make_one: str) -> None:
    """Refuse to listen beyond this machine while nobody could sign in."""
    from django.contrib.auth.models import User

    if not User.objects.filter(is_active=True).exists():
        raise Refused(
            "no account exists, and beyond this machine every page asks for one.",
            where=make_one.split()[1],
            remedy=f"Make one: {make_one}.",
        )


def _demo_and_summary() -> None:
    from scionary.answers.summary import summary
    from scionary.book.models import Plant, Wish
    from scionary.book.queries import nursery as the_nursery
    from scionary.cli.looking import show_due, show_plan, show_rates
    from scionary.demo import make_demo

    zone = the_nursery().zone
    if not Plant.objects.exists() and not Wish.objects.exists():
        make_demo(today=now().astimezone(zone).date(), now=now(), progress=_progress)
    nursery = the_nursery()
    found = summary(today=now().astimezone(nursery.zone).date())
    for title, show in (
        ("Due", lambda: show_due(found.due)),
        ("Plan", lambda: show_plan(found.plan)),
        ("Findings", lambda: show_rates(found.rates)),
    ):
        say(f"\n== {nursery.name}: {title}")
        show()


@contextmanager
def worker_beside() -> Iterator[None]:
    """The worker process, begun again when it dies, and ended with the pages, however these are told to end."""
    signal.signal(signal.SIGTERM, lambda number, frame: sys.exit(0))
    keeper = Keeper([sys.executable, "-m", "scionary", "worker", "--parent", str(os.getpid())])
    keeper.start()
    try:
        yield
    finally:
        keeper.end()


def worker(parent: Annotated[int | None, typer.Option(help="End when this process has ended.")] = None) -> None:
    """Do long work (imports) until told to end; `serve` starts it. It gives way to the pages."""
    if hasattr(os, "nice"):
        os.nice(10)
    os.environ["SCIONARY_WORKER"] = "1"  # two programs that write into one log would cut each other's lines off
    opened()
    from scionary.answers.worker import run_worker

    run_worker(parent=parent)


def add_to(program: typer.Typer) -> None:
    program.command()(demo)
    program.command()(serve)
    program.command(hidden=True)(worker)
