"""Where the service can be reached from the phones in its network, and saying so."""

from __future__ import annotations

import socket
import sys
from collections.abc import Callable

Say = Callable[[str], None]


def announce(found: list[str], say: Say = print) -> None:
    """Print the addresses, and a QR code of the first."""
    say("Rangehand is at")
    for each in found:
        say(f"  {each}")
    if len(found) > 1 or not found[0].startswith("http://127."):
        say("A phone in the same network opens it by this code:")
        for line in qr_lines(found[0]):
            say(line)
    say("Stop it with Ctrl-C.")


def addresses(host: str, port: int) -> list[str]:
    """Where the service can be reached, those that phones can use first."""
    if host not in ("0.0.0.0", "::", ""):
        return [f"http://{_bracketed(host)}:{port}/"]
    found = [each for each in _own_addresses() if not each.startswith("127.")]
    return [f"http://{each}:{port}/" for each in [*found, "127.0.0.1"]]


def qr_lines(address: str) -> list[str]:
    """The QR code (ISO/IEC 18004) of an address, two modules a character, dark on light.

    >>> len(qr_lines("http://192.0.2.7:8080/")) > 10
    True
    """
    import segno

    rows = [list(row) for row in segno.make(address, error="m").matrix_iter(border=2)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    blocks = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}
    ink = "\x1b[30;107m" if sys.stdout.isatty() else ""
    end = "\x1b[0m" if ink else ""
    return [
        ink + "".join(blocks[bool(top), bool(low)] for top, low in zip(*pair)) + end
        for pair in zip(rows[::2], rows[1::2])
    ]


def _own_addresses() -> list[str]:
    """This machine's own IPv4 addresses; no packet is sent to find them."""
    found: list[str] = []
    for beyond in ("192.0.2.1", "10.255.255.255", "192.168.255.255", "172.31.255.255"):
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            try:
                probe.connect((beyond, 9))
                found.append(probe.getsockname()[0])
            except OSError:
                continue
    try:
        found += [str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    except OSError:
        pass
    return list(dict.fromkeys(found))


def _bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host
