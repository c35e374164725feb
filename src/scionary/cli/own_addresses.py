"""The names and addresses under which other devices of the same network reach this machine."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Iterable, Sequence
from contextlib import suppress

# Nothing is sent there: asked for the way to such an address, the system says which of its own it would use.
_FAR = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))


def own_names(more: Iterable[str] = ()) -> list[str]:
    """What was told first, then the address on the network, the host's name, and this machine itself."""
    host = socket.gethostname().partition(".")[0].lower()
    named = [name for name in (f"{host}.local",) if _is_name(name)]  # not the bare name: it may be a domain of the wide network too
    return list(dict.fromkeys([*more, *_on_the_network(), *named, "localhost", "127.0.0.1", "::1"]))


def _is_name(name: str) -> bool:
    """Whether a certificate can hold it."""
    return bool(name) and name.isascii() and all(part and part.replace("-", "").isalnum() for part in name.split("."))


def _on_the_network() -> list[str]:
    found = [address for family, far in _FAR for address in _towards(family, far)]
    with suppress(OSError):
        found += [str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None)]
    return [address for address in dict.fromkeys(found) if _reached_from_beside(address)]


def _towards(family: int, far: str) -> Sequence[str]:
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((far, 9))
            return [str(probe.getsockname()[0])]
    except OSError:
        return []


def _reached_from_beside(text: str) -> bool:
    """Not this machine's own loop, no address that means another device on every cable, and none of IPv6 that changes every day."""
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return False
    return not (address.is_loopback or address.is_unspecified or address.is_link_local or (address.version == 6 and address.is_global))
