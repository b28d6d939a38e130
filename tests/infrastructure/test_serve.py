"""`manage.py serve`, as a newcomer runs it: real processes, a data folder of its own, real signals."""

import contextlib
import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.request
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import psutil
import pytest

from compaction.management import demo_notice
from tests.infrastructure.ports import HOST, free_port, wait_for

PROJECT = Path(__file__).resolve().parents[2]


class Service:
    """One run of `manage.py serve --no-demo` on a data folder."""

    def __init__(self, folder: Path, *, port: int) -> None:
        self.output = folder.parent / f"serve-{uuid.uuid4().hex[:6]}.log"
        clean = {name: value for name, value in os.environ.items() if not name.startswith(("LIFTLEDGER_", "DJANGO_"))}
        with self.output.open("wb") as output:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "serve", "--no-demo", "--workers", "1", "--port", str(port)],
                cwd=PROJECT,
                env={**clean, "LIFTLEDGER_DATA_FOLDER": str(folder)},
                stdout=output,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
        self.family: dict[int, psutil.Process] = {}

    def text(self) -> str:
        return self.output.read_text(encoding="utf-8", errors="replace")

    def wait_until_running(self) -> str:
        def address() -> re.Match[str] | None:
            assert self.process.poll() is None, self.text()
            return re.search(r"Liftledger is running: (http://\S+)", self.text())

        wait_for(address, seconds=60, what="serve to print its address")
        self.look_at_family()
        found = address()
        assert found
        return found[1]

    def look_at_family(self) -> list[psutil.Process]:
        """Remember every process below ours; return those that live."""
        for child in psutil.Process(self.process.pid).children(recursive=True):
            self.family[child.pid] = child
        return self.alive()

    def alive(self) -> list[psutil.Process]:
        return [
            child for child in self.family.values() if child.is_running() and child.status() != psutil.STATUS_ZOMBIE
        ]

    def sweep(self) -> psutil.Process:
        return next(child for child in self.look_at_family() if "sweep" in child.cmdline())


@pytest.fixture
def start(tmp_path: Path) -> Iterator[object]:
    services: list[Service] = []

    def start_one(folder: Path = tmp_path / "data", *, port: int = 0) -> Service:
        services.append(Service(folder, port=port))
        return services[-1]

    yield start_one
    for service in services:
        if service.process.poll() is None:
            with contextlib.suppress(psutil.NoSuchProcess):
                service.look_at_family()
            service.process.kill()
            service.process.wait()
        for child in service.alive():
            with contextlib.suppress(psutil.NoSuchProcess):
                child.kill()


def get(address: str) -> tuple[int, bytes]:
    with urllib.request.build_opener(urllib.request.ProxyHandler({})).open(address, timeout=10) as answer:
        return answer.status, answer.read()


def test_serve_starts_from_nothing_keeps_the_data_and_leaves_no_process_even_when_killed(start, tmp_path: Path) -> None:
    folder = tmp_path / "data"
    with socket.socket() as busy:
        busy.bind((HOST, 0))
        busy.listen()
        port = busy.getsockname()[1]
        service = start(port=port)
        address = service.wait_until_running()
    assert f"Port {port} is in use; taking " in service.text()
    assert get(f"{address}/healthz") == (200, b'{"status": "ok"}')
    assert get(f"{address}/readyz")[0] == 200
    assert get(f"{address}/static/js_lib_leaflet/leaflet.css")[0] == 200
    assert (folder / "secret_key").stat().st_mode & 0o777 == 0o600
    commands = [" ".join(child.cmdline()) for child in service.look_at_family()]
    assert any("web_server" in command for command in commands)
    assert any("sweep --forever" in command for command in commands)

    second = start(port=0)
    second.process.wait(timeout=60)
    assert second.process.returncode == 1
    assert f"already runs on {folder} ({address})" in second.text()

    with contextlib.closing(sqlite3.connect(folder / "liftledger.sqlite3", timeout=20)) as database:
        database.execute("INSERT INTO django_content_type (app_label, model) VALUES ('kept', 'kept')")
        database.commit()
    secret = (folder / "secret_key").read_text(encoding="utf-8")
    service.process.send_signal(signal.SIGINT)
    assert service.process.wait(timeout=30) == 0, service.text()
    assert service.alive() == []
    assert "Traceback" not in service.text()

    again = start()
    again.wait_until_running()
    with contextlib.closing(sqlite3.connect(folder / "liftledger.sqlite3", timeout=20)) as database:
        kept = database.execute("SELECT count(*) FROM django_content_type WHERE app_label = 'kept'").fetchone()
    assert kept == (1,)
    assert (folder / "secret_key").read_text(encoding="utf-8") == secret

    first_sweep = again.sweep()
    first_sweep.kill()
    wait_for(lambda: "The sweep ended by itself" in again.text(), seconds=10, what="serve to notice")
    wait_for(
        lambda: any("sweep" in child.cmdline() for child in again.look_at_family() if child.pid != first_sweep.pid),
        seconds=20,
        what="a new sweep",
    )
    assert len(again.look_at_family()) >= 3
    again.process.kill()
    again.process.wait()
    wait_for(lambda: again.alive() == [], seconds=15, what=f"the children to end: {again.alive()}")


def test_an_interrupt_in_the_middle_of_the_start_leaves_no_process(start) -> None:
    service = start()

    def collecting() -> bool:
        assert service.process.poll() is None, service.text()
        return "Static files" in service.text()

    wait_for(collecting, seconds=60, what="serve to collect static files")
    service.process.send_signal(signal.SIGTERM)
    code = service.process.wait(timeout=30)
    time.sleep(0.2)
    assert code == 0, service.text()
    assert service.alive() == []


def test_no_free_port_is_said_with_the_remedy(start) -> None:
    """65,535 is the last one; it is taken here, and there is none after it."""
    with socket.socket() as busy:
        try:
            busy.bind((HOST, 65535))
        except OSError:
            pass  # somebody else has it: as good
        else:
            busy.listen()
        service = start(port=65535)
        assert service.process.wait(timeout=60) == 1
    assert "No free port from 65535" in service.text()
    assert "choose another with --port" in service.text()


NOTICE = {
    "accounts": [
        {"username": "crew", "password": "sand cone 7", "role": "technician"},
        {"username": "engineer.of.record", "password": "x", "role": "engineer"},
    ],
    "device_key": "llk_0a_b-c",
    "project": "2f6c2f8e-5d8f-4f6c-9a55-3f0f7a1c5b11",
    "curl_body": {"remarks": 'crew\'s gauge "G-1"; 5 ft ± $HOME `x` %s\\', "lift": 4, "readings": {"depth": "6 in"}},
}


MADE = datetime(2026, 6, 3, 15, 15, 0, 987, tzinfo=UTC)


def test_the_printed_curl_survives_the_shell_with_its_json_intact() -> None:
    number = uuid.uuid4()
    address = f"http://{HOST}:{free_port()}"
    line = demo_notice.curl(NOTICE, address=address, now=MADE, test_id=number)
    assert line
    shown = subprocess.run(
        ["bash", "-c", f"curl() {{ printf '%s\\0' \"$@\"; }}; {line}"], capture_output=True, check=True
    )
    words = shown.stdout.decode().rstrip("\0").split("\0")
    assert len(words) == 10
    assert f"{address}/api/v1/projects/{NOTICE['project']}/tests/{number}" in words
    assert json.loads(words[words.index("-d") + 1]) == {
        **NOTICE["curl_body"],
        "performed_at": "2026-06-03T15:15:00+00:00",
    }
    assert "Authorization: Bearer llk_0a_b-c" in words


def test_demo_accounts_are_shown_in_columns() -> None:
    assert demo_notice.accounts(NOTICE) == [
        "user name           password     role",
        "crew                sand cone 7  technician",
        "engineer.of.record  x            engineer",
    ]
    assert demo_notice.accounts({}) == []
    assert demo_notice.curl({"device_key": "k"}, address="http://127.0.0.1", now=MADE) is None


def test_without_a_demo_there_is_no_notice(tmp_path: Path) -> None:
    assert demo_notice.read(tmp_path / "demo.json") is None
    (tmp_path / "demo.json").write_text(json.dumps(NOTICE), encoding="utf-8")
    assert demo_notice.read(tmp_path / "demo.json") == NOTICE
