"""Debian's PostgreSQL server on a folder and a port of its own, for as long as a command runs.

    python tests/postgres.py -- pytest tests/book

The command finds the server under DATABASE_URL. Nothing is forced to the disk (fsync off) unless `--safe` is given,
because an ordinary suite does not test power loss.
"""

from __future__ import annotations

import argparse
import glob
import os
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

MISSING = "PostgreSQL's server is not installed; on Debian and Ubuntu: apt-get install postgresql (or leave DATABASE_URL unset for SQLite)"
FAST = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off"


def find_binaries() -> Path | None:
    """The folder of programs that SCIONARY_POSTGRES_BIN names, else that of the newest installed server."""
    named = os.environ.get("SCIONARY_POSTGRES_BIN")
    if named:
        return Path(named)
    found = [Path(path).parent for path in glob.glob("/usr/lib/postgresql/*/bin/initdb")]
    if not found and (on_path := shutil.which("initdb")):
        found = [Path(on_path).parent]
    return max(found, key=_version, default=None)


def _version(folder: Path) -> float:
    name = folder.parent.name
    return float(name) if name.replace(".", "", 1).isdigit() else 0.0


@contextmanager
def server(*, safe: bool = False) -> Iterator[str]:
    """Start a server on an empty folder, give its DATABASE_URL, stop it and remove the folder at the end."""
    binaries = find_binaries()
    if binaries is None:
        raise SystemExit(MISSING)
    with tempfile.TemporaryDirectory(prefix="scionary-postgres-", ignore_cleanup_errors=True) as name:
        folder, port = Path(name), _free_port()
        if os.geteuid() == 0:
            shutil.chown(folder, "postgres", "postgres")
        data = folder / "data"
        _run(
            binaries / "initdb", "--pgdata", data, "--username=scionary", "--auth=trust", "--encoding=UTF8", "--locale=C.UTF-8", "--no-sync"
        )
        options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} {'' if safe else FAST}"
        _run(binaries / "pg_ctl", "start", "--pgdata", data, "--log", folder / "server.log", "--wait", "--options", options)
        try:
            yield f"postgres://scionary@127.0.0.1:{port}/postgres"
        finally:
            _run(binaries / "pg_ctl", "stop", "--pgdata", data, "--mode=immediate", "--wait")


def _run(*command: object) -> None:
    """Run a server's program, as the user postgres when we are root: it refuses root."""
    words = [str(word) for word in command]
    if os.geteuid() == 0:
        words = ["runuser", "-u", "postgres", "--", *words]
    done = subprocess.run(
        words, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, cwd="/", check=False
    )
    if done.returncode:
        raise SystemExit(f"{' '.join(words)} ended with {done.returncode}:\n{done.stderr}")


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def main(words: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(description="Run a command with a PostgreSQL server of its own under DATABASE_URL.")
    parser.add_argument("--safe", action="store_true", help="force writes to the disk, as a real server does")
    parser.add_argument("command", nargs=argparse.REMAINDER, help="after --, such as: -- pytest -n 2")
    given = parser.parse_args(words)
    command = given.command[1:] if given.command[:1] == ["--"] else given.command
    if not command:
        parser.error("give the command to run after --")
    beside = Path(sys.executable).parent / command[0]
    if "/" not in command[0] and beside.exists():
        command[0] = str(beside)
    with server(safe=given.safe) as url:
        return subprocess.run(command, env={**os.environ, "DATABASE_URL": url}, check=False).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
