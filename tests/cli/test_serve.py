"""scionary serve: on a real port, with a worker beside it; beyond this machine only with an account."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from served import environment, fetch, free_port, serving

pytestmark = [pytest.mark.slow, pytest.mark.own_book]


def test_an_empty_book_is_served_with_a_first_step(tmp_path: Path) -> None:
    with serving(tmp_path) as address:
        status, final, body = fetch(address)
        assert (status, final) == (200, f"{address}/due/")
        assert "Due" in body


def test_beyond_this_machine_no_account_means_no_pages(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "scionary", "serve", "--host", "0.0.0.0", "--port", str(free_port())]
    done = subprocess.run(command, env=environment(tmp_path), capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 2
    assert "no account exists" in done.stderr


def test_beyond_this_machine_every_page_asks_for_the_account(tmp_path: Path) -> None:
    with serving(tmp_path, "--host", "0.0.0.0", "--account", "wren", SCIONARY_PASSWORD="tarn-bridge-larch-41") as address:
        status, final, body = fetch(f"{address}/plants/")
        assert status == 200
        assert "/account/login/" in final
        assert "password" in body.lower()


def children(pid: int) -> list[str]:
    """The processes that any thread of this one started."""
    return [child for task in Path(f"/proc/{pid}/task").glob("*/children") for child in task.read_text(encoding="ascii").split()]


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="the list of child processes is Linux's own")
def test_the_worker_ends_with_the_pages_when_these_are_told_to_end(tmp_path: Path) -> None:
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "scionary", "serve", "--port", str(port)], env=environment(tmp_path), stdout=subprocess.PIPE
    )
    fetch(f"http://127.0.0.1:{port}/due/")
    [worker] = wait_for(process.pid, lambda found: len(found) == 1)
    process.terminate()
    process.wait(timeout=15)
    assert not Path(f"/proc/{worker}").exists()


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="the list of child processes is Linux's own")
def test_a_worker_that_dies_is_begun_again(tmp_path: Path) -> None:
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "scionary", "serve", "--port", str(port)], env=environment(tmp_path), stdout=subprocess.PIPE
    )
    try:
        fetch(f"http://127.0.0.1:{port}/due/")
        [first] = wait_for(process.pid, lambda found: len(found) == 1)
        os.kill(int(first), signal.SIGKILL)
        [second] = wait_for(process.pid, lambda found: len(found) == 1 and found != [first])
    finally:
        process.terminate()
        process.wait(timeout=15)
    assert not Path(f"/proc/{second}").exists()


def wait_for(pid: int, right: Callable[[list[str]], bool]) -> list[str]:
    until = time.monotonic() + 20
    while not right(found := children(pid)):
        assert time.monotonic() < until, found
        time.sleep(0.05)
    return found


def test_a_port_in_use_is_refused_in_words(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        command = [sys.executable, "-m", "scionary", "serve", "--port", str(taken.getsockname()[1])]
        done = subprocess.run(command, env=environment(tmp_path), capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 2
    assert "cannot be used" in done.stderr
