"""Under which addresses phones of the same network reach this machine."""

from __future__ import annotations

import socket

import pytest

from scionary.cli import own_addresses
from scionary.cli.own_addresses import own_names


def test_addresses_that_change_every_day_or_name_nobody_here_are_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    here = ["192.168.1.4", "fd12:3456::7", "2a02:aa13::1234", "fe80::1", "127.0.1.1", "0.0.0.0", "no address"]
    monkeypatch.setattr(own_addresses, "_towards", lambda family, far: here)
    monkeypatch.setattr(socket, "getaddrinfo", lambda *args: [])
    monkeypatch.setattr(socket, "gethostname", lambda: "Garden")
    assert own_names() == ["192.168.1.4", "fd12:3456::7", "garden.local", "localhost", "127.0.0.1", "::1"]


def test_what_was_told_stands_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(own_addresses, "_towards", lambda family, far: [])
    monkeypatch.setattr(socket, "getaddrinfo", lambda *args: [])
    assert own_names(["tarn.example"])[0] == "tarn.example"
