"""A number for each request, the headers that keep a page safe, and log lines that carry both.

Only start-up code: `settings` names these classes, nothing imports them.
"""

import logging
import time
import uuid
from collections.abc import Callable
from contextvars import ContextVar
from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest, HttpResponse

Respond = Callable[[HttpRequest], HttpResponse]

_request_id: ContextVar[str] = ContextVar("request_id", default="-")


class RequestIdMiddleware:
    """Gives each request a number of our own, `request.request_id`, and sends it back in X-Request-Id.

    A number sent by the client is not taken over: it would let a caller write into our log.
    """

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        number = uuid.uuid4().hex
        request.request_id = number  # type: ignore[attr-defined]
        token = _request_id.set(number)
        try:
            response = self.get_response(request)
        finally:
            _request_id.reset(token)
        response["X-Request-Id"] = number
        return response


class SafeHeadersMiddleware:
    """Content-Security-Policy, Permissions-Policy and no-store, unless the view has set its own.

    Scripts and styles come from our own files only, so an injected tag is inert. A view that asks for
    same-origin framing (`xframe_options_sameorigin`) gets it in the policy too.
    """

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        framed = response.get("X-Frame-Options", "").upper() == "SAMEORIGIN"
        response.setdefault("Content-Security-Policy", content_security_policy(framed_by_self=framed))
        response.setdefault("Permissions-Policy", "geolocation=(self), camera=(), microphone=(), payment=(), usb=()")
        # What a signed-in person saw must not be found again on a shared tablet (static files set their own).
        response.setdefault("Cache-Control", "no-store")
        return response


def content_security_policy(*, framed_by_self: bool) -> str:
    """The policy of every page. The only outside host it can name is the operator's own tile server."""
    tiles = _tile_host()
    return "; ".join(
        [
            "default-src 'none'",
            "script-src 'self'",
            "style-src 'self'",
            f"img-src 'self' data:{' ' + tiles if tiles else ''}",
            "font-src 'self'",
            "connect-src 'self'",
            "manifest-src 'self'",
            "frame-src 'self'",
            "worker-src 'self'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors " + ("'self'" if framed_by_self else "'none'"),
        ]
    )


def _tile_host() -> str:
    address = urlsplit(settings.TILE_URL)
    return f"{address.scheme}://{address.netloc.replace('{s}', '*')}" if address.netloc else ""


class RequestIdFilter(logging.Filter):
    """Puts the number of the request that is being answered on the record; "-" outside requests."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Never drops a record."""
        record.request_id = _request_id.get()
        return True


class OneLineFormatter(logging.Formatter):
    """Time in UTC, level, logger, request, message; control characters in the message cannot forge a second line."""

    converter = staticmethod(time.gmtime)

    def __init__(self) -> None:
        super().__init__("%(asctime)sZ %(levelname)s %(name)s [%(request_id)s] %(message)s", "%Y-%m-%dT%H:%M:%S")

    def formatMessage(self, record: logging.LogRecord) -> str:
        """The message with control characters written as escapes; a traceback below it keeps its lines."""
        record.message = "".join(c if c.isprintable() else repr(c)[1:-1] for c in record.message)
        return super().formatMessage(record)
