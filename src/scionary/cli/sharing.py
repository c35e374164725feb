"""The command that shares the pages with phones on the same network, over TLS with a certificate of this machine's own authority."""

from __future__ import annotations

import importlib.util
import os
import socket
import sys
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.own_addresses import own_names
from scionary.cli.serving import need_account, set_account, worker_beside
from scionary.cli.terminal import now, opened, say
from scionary.errors import Refused

if TYPE_CHECKING:
    from pathlib import Path

    from scionary.cli.authority import Papers

_NEEDED = ("granian", "cryptography")


def share(
    port: Annotated[int, typer.Option(help="The port of the pages.", min=1, max=65535)] = 8443,
    trust_port: Annotated[int, typer.Option(help="The port of the page that gives the authority to phones.", min=1, max=65535)] = 8080,
    host: Annotated[str, typer.Option(help="The address to listen on; 0.0.0.0 is all of this machine's.")] = "0.0.0.0",  # noqa: S104
    name: Annotated[
        list[str] | None, typer.Option("--name", help="One more name or address under which phones reach this machine.")
    ] = None,
    account: Annotated[str | None, typer.Option(help="Make this account, or set its password (asked for, or SCIONARY_PASSWORD).")] = None,
) -> None:
    """Share the pages with phones of the same network, over a secure line; every page asks for an account.

    Example: scionary share --account mara
    """
    _check_installed()
    if port == trust_port:
        raise Refused(f"both ports are {port}.", where="share", remedy="Choose two: scionary share --port 8443 --trust-port 8080.")
    names = own_names(_checked(name or []))
    shared, trust = f"https://{_in_address(names[0])}:{port}", f"http://{_in_address(names[0])}:{trust_port}"
    _prepare_environment(names, shared, trust)
    opened()
    if account:
        set_account(account)
    need_account("scionary share --account NAME")
    _check_free(host, port)
    from django.conf import settings

    from scionary.cli.authority import papers

    made = papers(settings.DATA_FOLDER / "share", names, now=now())
    _serve(host, port, trust_port, made, shared, trust)


def _serve(host: str, port: int, trust_port: int, made: Papers, shared: str, trust: str) -> None:
    from scionary.answers.jobs import learn_beside
    from scionary.cli.trust_page import trust_page

    with trust_page(host, trust_port, made), worker_beside():
        learn_beside(now=now())
        say(f"\nThe pages: {shared}/   (end with Ctrl+C)")
        say(f"On a phone that comes for the first time: {trust}/   then {shared}/hand/")
        say(f"The authority's fingerprint: {made.fingerprint}")
        if made.new_authority:
            say("The authority is new: every phone has to trust it once, also those that trusted an earlier one.")
        say(f"The certificate holds until {made.ends.date().isoformat()}; it is made again when you share after {_renewed(made)}.")
        sys.stdout.flush()
        _run(host, port, made.certificate, made.key)


def _renewed(made: Papers) -> str:
    from scionary.cli.authority import RENEWED_BEFORE

    return (made.ends - RENEWED_BEFORE).date().isoformat()


def _run(host: str, port: int, certificate: Path, key: Path) -> None:
    from granian import Granian
    from granian.constants import HTTPModes, Interfaces, SSLProtocols

    Granian(
        "scionary.web.shared:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        http=HTTPModes.auto,
        workers=1,
        blocking_threads=4,
        respawn_failed_workers=True,
        websockets=False,
        log_enabled=False,
        ssl_cert=certificate,
        ssl_key=key,
        ssl_protocol_min=SSLProtocols.tls12,
    ).serve()


def _check_installed() -> None:
    missing = [module for module in _NEEDED if importlib.util.find_spec(module) is None]
    if missing:
        raise Refused(
            f"sharing needs what a book alone does not: {' and '.join(missing)}.",
            where="share",
            remedy="In the program's folder: .venv/bin/python -m pip install '.[share]'. The pages on this machine need it not.",
        )


def _checked(names: list[str]) -> list[str]:
    """Names as a certificate and an address can hold them."""
    for name in names:
        plain = name.replace(":", "").replace(".", "").replace("-", "")
        if not plain.isalnum() or not name.isascii() or len(name) > 200:
            raise Refused(f"{name[:60]!r} is no name or address.", where="--name", remedy="Give one such as tarn.local or 192.168.1.20.")
    return [name.lower() for name in names]


def _in_address(name: str) -> str:
    return f"[{name}]" if ":" in name else name


def _prepare_environment(names: list[str], shared: str, trust: str) -> None:
    """Django reads these when it is set up, so they are set before; the server's own process reads them again."""
    known = [name for name in os.environ.get("SCIONARY_HOSTS", "").split(",") if name]
    os.environ["SCIONARY_HOSTS"] = ",".join([*known, *map(_in_address, names)])
    os.environ |= {"SCIONARY_LOGIN": "1", "SCIONARY_HTTPS": "1", "SCIONARY_SHARED": shared, "SCIONARY_TRUST": trust}


def _check_free(host: str, port: int) -> None:
    try:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        with socket.socket(family) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((host, port))
    except (OSError, OverflowError) as error:
        remedy = "Choose another: scionary share --port 8444."
        raise Refused(f"port {port} cannot be used ({getattr(error, 'strerror', error)}).", where="share", remedy=remedy) from None


def add_to(program: typer.Typer) -> None:
    program.command()(share)
