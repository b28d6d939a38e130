"""A child process ends when its parent is gone, however the parent ended."""

import logging
import os
import signal
import threading
import time

logger = logging.getLogger(__name__)

LOOK_EVERY_SECONDS = 0.5


def end_with_parent(parent: int) -> None:
    """Watch the parent from a thread; when this process gets another one, send it SIGTERM.

    Needs nothing of the system but process numbers, so it works wherever the service runs.
    """
    threading.Thread(target=_watch, args=(parent,), name="follow-parent", daemon=True).start()


def _watch(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(LOOK_EVERY_SECONDS)
    logger.warning("The process that started this one (%s) is gone; stopping.", parent)
    os.kill(os.getpid(), signal.SIGTERM)
