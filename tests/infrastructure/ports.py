"""Free ports and waiting, for servers that tests start."""

import socket
import time
from collections.abc import Callable

HOST = "127.0.0.1"


def free_port() -> int:
    """A port that nobody had a moment ago."""
    with socket.socket() as sock:
        sock.bind((HOST, 0))
        return int(sock.getsockname()[1])


def accepts(port: int) -> bool:
    """Whether somebody takes a connection there."""
    with socket.socket() as sock:
        sock.settimeout(1)
        return sock.connect_ex((HOST, port)) == 0


def wait_for(condition: Callable[[], object], *, seconds: float, what: str | Callable[[], str]) -> None:
    """Return as soon as the condition holds; fail with `what` (asked for then) when it does not within the time."""
    end = time.monotonic() + seconds
    while not condition():
        if time.monotonic() > end:
            raise AssertionError(f"waited {seconds:g} s in vain for {what if isinstance(what, str) else what()}")
        time.sleep(0.05)
