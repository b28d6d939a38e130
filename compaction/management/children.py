"""The processes that `manage.py serve` starts, watches and stops: the web server and the sweep."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

HOST = "127.0.0.1"
STOP_SECONDS = 15
PORTS_TRIED = 50


class NoFreePort(Exception):
    """None of the ports looked at can be had."""


def listen(*, first_port: int) -> socket.socket:
    """A listening socket on 127.0.0.1 at `first_port` or the next free one (0: any). Raises `NoFreePort`."""
    for port in range(first_port, first_port + PORTS_TRIED) if first_port else (0,):
        sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            sock.bind((HOST, port))
            sock.listen(512)
        except (OSError, OverflowError):
            sock.close()
            continue
        sock.set_inheritable(True)
        return sock
    last = first_port + PORTS_TRIED - 1
    raise NoFreePort(f"No free port from {first_port} to {last} on {HOST}; choose another with --port.")


def start_web(listening: socket.socket, *, workers: int, threads: int) -> "subprocess.Popen[bytes]":
    """The web server on a socket that is open already."""
    descriptor = listening.fileno()
    line = ["-m", "compaction.management.web_server", "--socket-fd", str(descriptor)]
    line += ["--workers", str(workers), "--threads", str(threads), "--parent", str(os.getpid())]
    return _start(line, pass_fds=(descriptor,))


def start_sweep() -> "subprocess.Popen[bytes]":
    """The sweep, for ever."""
    return _start(["manage.py", "sweep", "--forever", "--parent", str(os.getpid())])


def _start(line: list[str], *, pass_fds: tuple[int, ...] = ()) -> "subprocess.Popen[bytes]":
    # A session of its own: Ctrl-C reaches the parent only, which then stops each child gently, once.
    return subprocess.Popen(
        [sys.executable, *line],
        cwd=Path(__file__).resolve().parents[2],
        pass_fds=pass_fds,
        start_new_session=True,
    )


def wait_until_answering(address: str, *, child: "subprocess.Popen[bytes]", seconds: float) -> bool:
    """True as soon as the address answers 200; False when the child ends or the time is over."""
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    end = time.monotonic() + seconds
    while time.monotonic() < end and child.poll() is None:
        with contextlib.suppress(urllib.error.URLError, OSError), opener.open(address, timeout=5) as answer:
            if answer.status == 200:
                return True
        time.sleep(0.1)
    return False


def stop(children: list["subprocess.Popen[bytes]"]) -> None:
    """Ask each child to finish, all at once; kill the session of one that has not after a while."""
    for child in children:
        if child.poll() is None:
            child.terminate()
    end = time.monotonic() + STOP_SECONDS
    for child in children:
        try:
            child.wait(timeout=max(0.1, end - time.monotonic()))
        except subprocess.TimeoutExpired:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(child.pid, signal.SIGKILL)
            child.wait()


@contextlib.contextmanager
def signals_raise_keyboard_interrupt() -> Iterator[None]:
    """SIGTERM and a closed terminal end the service the same way as Ctrl-C."""

    def interrupt(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    numbers = [signal.SIGTERM, signal.SIGHUP, signal.SIGINT]
    before = [signal.signal(number, interrupt) for number in numbers]
    try:
        yield
    finally:
        for number, handler in zip(numbers, before, strict=True):
            signal.signal(number, handler)
