"""`manage.py serve`: from an empty folder to a running service, and back to nothing on Ctrl-C."""

import fcntl
import signal
import socket
import subprocess
import time
from pathlib import Path
from typing import IO, Any

from django.conf import settings
from django.core.management import call_command, get_commands
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connections
from django.utils import timezone

from compaction.management import children, demo_notice
from projects.models import Project

DEFAULT_PORT = 8300
START_SECONDS = 60
SWEEP_RESTART_SECONDS = 5.0


class Command(BaseCommand):
    help = "Set up the database if needed, load the demo once, and run the service on 127.0.0.1."
    requires_system_checks = ()  # run below, when there is a database to look at

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=int, default=DEFAULT_PORT, help="the next free one is taken if it is busy")
        parser.add_argument("--no-demo", action="store_true", help="do not load the demo project into a new database")
        parser.add_argument("--workers", type=int, default=2, help="web server processes")
        parser.add_argument("--threads", type=int, default=4, help="threads of each of them")

    def handle(self, *, port: int, no_demo: bool, workers: int, threads: int, **_: Any) -> None:
        if not 0 <= port <= 65535:
            raise CommandError(f"--port is {port}; write a number from 1 to 65535, or 0 for any free one.")
        with (
            children.signals_raise_keyboard_interrupt(),
            (settings.DATA_FOLDER / "serve.lock").open("a+", encoding="utf-8") as lock,
        ):
            self._claim(lock)
            try:
                with self._listen(port) as listening:  # before the minute that the demo takes; who calls early waits
                    self._prepare(load_demo=not no_demo)
                    self._run(lock, listening, workers=workers, threads=threads)
            except KeyboardInterrupt:
                self.say("Stopped.")

    def say(self, line: str = "") -> None:
        """Print at once, also into a pipe."""
        self.stdout.write(line)
        self.stdout.flush()

    def _claim(self, lock: IO[str]) -> None:
        """One service a data folder: a second one would only fight for the same port and file."""
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            lock.seek(0)
            where = lock.read().strip() or "starting up"
            raise CommandError(
                f"Liftledger already runs on {settings.DATA_FOLDER} ({where}). "
                "Stop it first, or set LIFTLEDGER_DATA_FOLDER to another folder."
            ) from error

    def _listen(self, port: int) -> socket.socket:
        try:
            listening = children.listen(first_port=port)
        except children.NoFreePort as error:
            raise CommandError(str(error)) from error
        taken = listening.getsockname()[1]
        if port and taken != port:
            self.say(f"Port {port} is in use; taking {taken}.")
        return listening

    def _prepare(self, *, load_demo: bool) -> None:
        self.say(f"Data folder: {settings.DATA_FOLDER}")
        self.say("Database: bringing the tables up to date ...")
        call_command("migrate", verbosity=0, interactive=False)
        call_command("check", databases=["default"], stdout=self.stdout, stderr=self.stderr)
        self.say("Static files: collecting ...")
        call_command("collectstatic", verbosity=0, interactive=False)
        if load_demo and not Project.objects.exists():
            if "load_demo" in get_commands():
                self.say("Demo: loading (once; a minute or so) ...")
                call_command("load_demo", stdout=self.stdout)
            else:
                self.say("Demo: none in this installation.")
        connections.close_all()  # no open connection is carried into the children's time

    def _run(self, lock: IO[str], listening: socket.socket, *, workers: int, threads: int) -> None:
        address = f"http://{children.HOST}:{listening.getsockname()[1]}"
        running: dict[str, subprocess.Popen[bytes]] = {}
        try:
            running["web"] = children.start_web(listening, workers=workers, threads=threads)
            listening.close()
            running["sweep"] = children.start_sweep()
            if not children.wait_until_answering(f"{address}/healthz", child=running["web"], seconds=START_SECONDS):
                raise CommandError("The web server did not start; its own message is above.")
            lock.seek(0)
            lock.truncate()
            lock.write(address)
            lock.flush()
            self._announce(address)
            self._watch(running)
        finally:
            # From here a second Ctrl-C must not leave children behind.
            for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
                signal.signal(number, signal.SIG_IGN)
            self.say("Stopping ...")
            children.stop(list(running.values()))
            lock.seek(0)
            lock.truncate()

    def _announce(self, address: str) -> None:
        self.say()
        self.say(f"Liftledger is running: {address}   (API documentation: {address}/api/docs/)")
        notice = demo_notice.read(Path(settings.DATA_FOLDER) / "demo.json")
        if notice is None:
            self.say("No demo here. Make your first account with: .venv/bin/python manage.py createsuperuser")
        else:
            self.say("\nDemo accounts:")
            for line in demo_notice.accounts(notice):
                self.say(f"  {line}")
            command = demo_notice.curl(notice, address=address, now=timezone.now())
            if command:
                self.say("\nPost a gauge test (paste into another terminal):\n")
                self.say(command)
        self.say("\nCtrl-C stops everything; the data stay.")

    def _watch(self, running: "dict[str, subprocess.Popen[bytes]]") -> None:
        """Until interrupted. A sweep that ended is started again; without the web server there is no service."""
        while True:
            time.sleep(0.5)
            code = running["web"].poll()
            if code is not None:
                raise CommandError(f"The web server ended by itself (exit {code}); its own message is above.")
            if running["sweep"].poll() is not None:
                self.stderr.write(f"The sweep ended by itself (exit {running['sweep'].returncode}); starting it again.")
                time.sleep(SWEEP_RESTART_SECONDS)
                running["sweep"] = children.start_sweep()
