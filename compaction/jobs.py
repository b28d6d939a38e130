"""Ask for background work by name; the only caller of the queue.

A message is a hint. The row that says what is to be done is committed before, and the sweep finds it
without any message. So nothing here may fail a request that has already stored its data, or keep it
waiting: broker errors are logged and swallowed, sockets have short time-outs, and after a failure the
broker is left alone for a while.
"""

import functools
import logging
import threading
import time

from celery import current_app
from django.conf import settings
from django.db import transaction
from kombu.connection import Connection
from kombu.pools import producers

logger = logging.getLogger(__name__)

SWEEP = "compaction.tasks.sweep"
SOCKET_SECONDS = 1.0
PAUSE_AFTER_FAILURE_SECONDS = 10.0

_quiet_until = 0.0
_quiet_lock = threading.Lock()


def wake_sweep(*, using: str | None = None) -> None:
    """Ask for a sweep once the open transaction is committed (at once when there is none).

    Without a broker there is nobody to ask: the sweep process looks by itself every second.
    """
    if settings.CELERY_BROKER_URL:
        # A lambda, not functools.partial: Django 5.2 cannot name a partial when a robust callback fails.
        transaction.on_commit(lambda: _send(SWEEP), using=using, robust=True)


def _send(name: str) -> bool:
    """Publish a wake-up; True if the broker took it. Never raises for a broker that is down, slow or wrong."""
    global _quiet_until
    if time.monotonic() < _quiet_until:
        return False
    task = current_app.tasks[name]  # KeyError: a name that no task has is a fault of ours
    try:
        with producers[_connection(settings.CELERY_BROKER_URL)].acquire(block=True, timeout=SOCKET_SECONDS) as producer:
            task.apply_async(producer=producer, retry=False, ignore_result=True)
    except Exception as error:  # what a broker's client may raise is an open list; the work itself is safe in its row
        with _quiet_lock:
            _quiet_until = time.monotonic() + PAUSE_AFTER_FAILURE_SECONDS
        logger.warning(
            "The broker did not take a wake-up (%s: %s); the sweep will find the work.", type(error).__name__, error
        )
        return False
    return True


@functools.cache
def _connection(url: str) -> Connection:
    """A connection of its own for publishing: a worker may wait for its messages, a request may not."""
    options = {
        "socket_timeout": SOCKET_SECONDS,
        "socket_connect_timeout": SOCKET_SECONDS,
        "health_check_interval": 0,
        "max_retries": 0,  # of connecting, which kombu otherwise repeats until `connect_timeout` (4 s) is over
    }
    return current_app.connection_for_write(url, transport_options=options)
