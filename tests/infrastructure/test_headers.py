"""Headers of every answer, request numbers, and log lines that cannot be forged."""

import logging
import re

import pytest
from django.http import HttpResponse
from django.test import Client, RequestFactory
from django.views.decorators.clickjacking import xframe_options_sameorigin

from compaction.middleware import OneLineFormatter, RequestIdFilter, SafeHeadersMiddleware, content_security_policy


def test_every_answer_carries_the_safe_headers(client: Client) -> None:
    answer = client.get("/healthz")
    policy = answer["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy
    assert "style-src 'self';" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy, "no outside host"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Referrer-Policy"] == "same-origin"
    assert answer["Cross-Origin-Opener-Policy"] == "same-origin"
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["Cache-Control"] == "no-store"


def test_a_view_that_allows_framing_by_our_own_pages_gets_it_in_the_policy() -> None:
    @xframe_options_sameorigin
    def view(_request: object) -> HttpResponse:
        return HttpResponse()

    answer = SafeHeadersMiddleware(view)(RequestFactory().get("/"))  # type: ignore[arg-type]
    assert "frame-ancestors 'self'" in answer["Content-Security-Policy"]


@pytest.mark.parametrize(
    ("tiles", "host"),
    [
        ("https://{s}.tiles.example.org/{z}/{x}/{y}.png", "https://*.tiles.example.org"),
        ("http://127.0.0.1:1/{z}", "http://127.0.0.1:1"),
    ],
)
def test_the_operators_tile_server_is_the_only_outside_host(settings: object, tiles: str, host: str) -> None:
    settings.TILE_URL = tiles  # type: ignore[attr-defined]
    assert f"img-src 'self' data: {host};" in content_security_policy(framed_by_self=False)


def test_the_request_number_is_ours_and_new_each_time(client: Client) -> None:
    numbers = {client.get("/healthz", headers={"X-Request-Id": "forged"})["X-Request-Id"] for _ in range(3)}
    assert len(numbers) == 3
    assert all(re.fullmatch("[0-9a-f]{32}", number) for number in numbers)


def test_a_message_cannot_forge_a_second_log_line() -> None:
    record = logging.LogRecord(
        "api", logging.WARNING, __file__, 1, "refused %s", ("x\n2026-01-01 all\x1b[2J fine",), None
    )
    RequestIdFilter().filter(record)
    line = OneLineFormatter().format(record)
    assert line.count("\n") == 0
    assert "\x1b" not in line
    assert "[-] refused x\\n2026-01-01" in line
