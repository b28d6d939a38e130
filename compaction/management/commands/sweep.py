"""`manage.py sweep`: do the work that waits, once or for ever. The engine of all recomputation."""

import logging
import signal
import threading
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser
from django.db import Error, close_old_connections

from compaction.actions.sweep import run_until_idle
from compaction.management.following import end_with_parent

logger = logging.getLogger(__name__)

PAUSE_AFTER_ERROR_SECONDS = 5.0


class Command(BaseCommand):
    help = "Recompute everything that is marked stale; with --forever, keep looking."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--forever", action="store_true", help="keep looking until SIGTERM")
        parser.add_argument("--pause", type=float, default=1.0, help="seconds between two looks (with --forever)")
        parser.add_argument("--parent", type=int, help="end when the process with this number is gone")

    def handle(self, *, forever: bool, pause: float, parent: int | None, **_: Any) -> None:
        if not forever:
            run_until_idle()
            settings.SWEEP_HEARTBEAT.touch()
            return
        stop = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stop.set())
        if parent:
            end_with_parent(parent)
        while not stop.is_set():
            stop.wait(pause if self._once() else PAUSE_AFTER_ERROR_SECONDS)

    def _once(self) -> bool:
        """One look. A database that is away for a while must not end the process; any other error must."""
        try:
            close_old_connections()
            run_until_idle()
        except Error:
            logger.exception("The sweep could not reach or use the database; trying again.")
            close_old_connections()
            return False
        settings.SWEEP_HEARTBEAT.touch()
        return True
