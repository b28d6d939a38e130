"""Asking for background work: a broker that is down, silent or hostile never hurts the request."""

import logging
import pickle
import time
import uuid
from collections.abc import Iterator
from typing import Any

import pytest
from celery import current_app
from django.db import transaction
from kombu import Connection

from compaction import jobs
from tests.infrastructure.ports import HOST, free_port, wait_for
from tests.infrastructure.redis_server import RedisServer

QUEUE = "liftledger"


@pytest.fixture(autouse=True)
def broker_not_yet_known_to_be_bad(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(jobs, "_quiet_until", 0.0)
    yield
    jobs._connection.cache_clear()


def seconds(call: Any) -> float:
    start = time.monotonic()
    call()
    return time.monotonic() - start


def waiting(server: RedisServer) -> int:
    with server.client() as client:
        return int(client.llen(QUEUE))


@pytest.mark.django_db(transaction=True)
def test_a_wake_up_leaves_after_the_commit_and_not_before(redis_server: RedisServer, settings: Any) -> None:
    settings.CELERY_BROKER_URL = redis_server.url
    with transaction.atomic():
        jobs.wake_sweep()
        assert waiting(redis_server) == 0
    assert waiting(redis_server) == 1


@pytest.mark.django_db(transaction=True)
def test_a_rolled_back_transaction_asks_for_nothing(redis_server: RedisServer, settings: Any) -> None:
    settings.CELERY_BROKER_URL = redis_server.url
    with transaction.atomic():
        jobs.wake_sweep()
        transaction.set_rollback(True)
    assert waiting(redis_server) == 0


@pytest.mark.django_db(transaction=True)
def test_without_a_broker_nobody_is_asked(settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.CELERY_BROKER_URL = ""
    monkeypatch.setattr(jobs, "_send", lambda _: pytest.fail("asked"))
    jobs.wake_sweep()


def test_the_message_holds_a_name_and_no_data(redis_server: RedisServer, settings: Any) -> None:
    settings.CELERY_BROKER_URL = redis_server.url
    assert jobs._send(jobs.SWEEP) is True
    with Connection(redis_server.url) as connection, connection.SimpleQueue(QUEUE) as queue:
        message = queue.get(timeout=3)
        assert message.content_type == "application/json"
        assert message.headers["task"] == "compaction.tasks.sweep"
        assert message.payload[:2] == [[], {}]


@pytest.mark.django_db(transaction=True)
def test_a_dead_broker_costs_under_a_second_and_a_line_in_the_log(
    settings: Any, caplog: pytest.LogCaptureFixture
) -> None:
    settings.CELERY_BROKER_URL = f"redis://{HOST}:{free_port()}/0"
    with caplog.at_level(logging.WARNING):
        assert seconds(jobs.wake_sweep) < 1.0
    assert "The broker did not take a wake-up" in caplog.text


@pytest.mark.django_db(transaction=True)
def test_a_broker_that_never_answers_costs_under_three_seconds_once(
    own_redis_server: RedisServer, settings: Any
) -> None:
    """Paused, so that it accepts the connection. The first request waits a little, those after it not at all."""
    settings.CELERY_BROKER_URL = own_redis_server.url
    own_redis_server.pause()
    assert seconds(jobs.wake_sweep) < 3.0
    assert seconds(lambda: [jobs.wake_sweep() for _ in range(20)]) < 0.5


@pytest.mark.django_db(transaction=True)
def test_a_connection_that_falls_silent_while_in_use_costs_under_three_seconds(
    own_redis_server: RedisServer, settings: Any
) -> None:
    settings.CELERY_BROKER_URL = own_redis_server.url
    assert jobs._send(jobs.SWEEP) is True
    own_redis_server.pause()
    assert seconds(jobs.wake_sweep) < 3.0


def test_wake_ups_go_on_after_the_broker_came_back(
    own_redis_server: RedisServer, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.CELERY_BROKER_URL = own_redis_server.url
    monkeypatch.setattr(jobs, "PAUSE_AFTER_FAILURE_SECONDS", 0.0)
    monkeypatch.setattr(jobs, "SOCKET_SECONDS", 5.0)  # not what is tested here, and the machine may be busy
    assert jobs._send(jobs.SWEEP) is True
    own_redis_server.kill()
    assert jobs._send(jobs.SWEEP) is False
    own_redis_server.start()
    wait_for(lambda: jobs._send(jobs.SWEEP), seconds=10, what="a wake-up to be taken again")
    assert waiting(own_redis_server) >= 2, "the acknowledged message of before is still there, too"


def test_a_name_without_a_task_is_our_fault_and_raises(settings: Any) -> None:
    settings.CELERY_BROKER_URL = f"redis://{HOST}:{free_port()}/0"
    with pytest.raises(KeyError):
        jobs._send("compaction.tasks.no_such_task")


def test_only_json_is_accepted_and_published() -> None:
    assert list(current_app.conf.accept_content) == ["json"]
    assert (current_app.conf.task_serializer, current_app.conf.result_serializer) == ("json", "json")
    assert current_app.conf.result_backend is None


def test_the_time_limit_is_well_below_the_visibility_time_out() -> None:
    assert current_app.conf.task_time_limit * 3 <= current_app.conf.broker_transport_options["visibility_timeout"]


def pickled_message() -> tuple[bytes, dict[str, Any]]:
    """A message as a worker would take it, but pickled."""
    number = str(uuid.uuid4())
    headers = {"lang": "py", "task": jobs.SWEEP, "id": number, "root_id": number, "parent_id": None, "group": None}
    return pickle.dumps(([], {}, {"callbacks": None, "errbacks": None, "chain": None, "chord": None})), headers


def publish_pickled(url: str) -> None:
    body, headers = pickled_message()
    with Connection(url) as connection, connection.Producer() as producer:
        producer.publish(
            body,
            exchange="",
            routing_key=QUEUE,
            headers=headers,
            content_type="application/x-python-serialize",
            content_encoding="binary",
            correlation_id=headers["id"],
        )
