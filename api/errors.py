"""Problems as answers (RFC 9457): one shape for whatever goes wrong, made here from the errors of the rooms below."""

import json
import logging
from collections.abc import Iterable
from typing import Any

from django.core.exceptions import DisallowedHost, RequestDataTooBig, SuspiciousOperation
from django.db import DataError, OperationalError
from django.http import Http404, HttpRequest, HttpResponse, UnreadablePostError
from rest_framework import exceptions
from rest_framework.response import Response

from api import problems
from compaction.actions import refusals
from compaction.actions.field_tests import SetUpMoved
from compaction.calculations.errors import ReadingsError
from compaction.observation import ContentError
from projects import access
from projects.actions.place import RevisionConflict

logger = logging.getLogger(__name__)
MEDIA_TYPE = "application/problem+json"
RETRY_AFTER_SECONDS = 5
Fault = tuple[str, str, str]  # JSON pointer, code, sentence


class Problem(Exception):
    """An answer that says no. `code` is a key of `problems.KINDS`; `more` are members of its own."""

    def __init__(
        self,
        code: str,
        detail: str = "",
        *,
        errors: Iterable[Fault] = (),
        headers: dict[str, str] | None = None,
        more: dict[str, Any] | None = None,
    ) -> None:
        self.code = code
        self.kind = problems.KINDS[code]
        self.detail = detail or self.kind.title
        self.errors = list(errors)
        self.headers = headers or {}
        self.more = more or {}
        super().__init__(self.detail)

    def content(self, instance: str) -> dict[str, Any]:
        """The members of the answer."""
        return {
            "type": problems.type_of(self.code),
            "title": self.kind.title,
            "status": self.kind.status,
            "detail": self.detail,
            "instance": instance,
            "errors": [{"pointer": at, "code": code, "detail": sentence} for at, code, sentence in self.errors],
            **self.more,
        }


def handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """The answer to an error raised in a view; None lets a fault of ours go on to become a 500."""
    problem = problem_of(error)
    if problem is None:
        return None
    request = context["request"]
    answer = Response(
        problem.content(getattr(request, "request_id", "-")),
        status=problem.kind.status,
        headers=problem.headers,
        content_type=MEDIA_TYPE,
    )
    answer.exception = True
    return answer


def response(request: HttpRequest, problem: Problem) -> HttpResponse:
    """The same answer outside a view of the API."""
    content = json.dumps(problem.content(getattr(request, "request_id", "-")))
    return HttpResponse(content, status=problem.kind.status, content_type=MEDIA_TYPE, headers=problem.headers)


def problem_of(error: Exception) -> Problem | None:
    """The problem that an error is; None if it is a fault of ours."""
    if isinstance(error, Problem):
        return error
    return _of_the_rooms(error) or _of_the_framework(error)


def _of_the_rooms(error: Exception) -> Problem | None:
    if isinstance(error, ContentError):
        return _unreadable(error.errors)
    if isinstance(error, ReadingsError):
        return _unreadable((one.pointer, one.code, one.sentence) for one in error.errors)
    if isinstance(error, access.NotFound | refusals.Unknown):
        # Without the sentence: what is absent and what belongs to others must read the same.
        return Problem("not-found", "There is nothing here for you under this address.")
    if isinstance(error, access.NotAllowed):
        return Problem("not-allowed", str(error))
    if isinstance(error, refusals.ContentConflict):
        return Problem(
            "content-conflict",
            str(error),
            more={"stored_sha256": error.stored_sha256, "sent_sha256": error.sent_sha256},
        )
    if isinstance(error, refusals.NotCurrent | refusals.NeedsAnother):
        return Problem(error.code, str(error))
    if isinstance(error, refusals.Refused):
        return Problem(problems.REFUSALS.get(error.code, "conflict"), str(error), errors=[("", error.code, str(error))])
    if isinstance(error, RevisionConflict):
        return Problem("revision-conflict", str(error))
    if isinstance(error, DataError):
        # PostgreSQL will not keep the value: a limit that the reader should have known.
        logger.error("A value got past its reader: %s", error)
        return Problem("content-unreadable", "A value of the record is too large to be kept; nothing was stored.")
    if isinstance(error, SetUpMoved | OperationalError):
        logger.warning("Answered 503: %s: %s", type(error).__name__, error)
        return Problem("try-again", headers={"Retry-After": str(RETRY_AFTER_SECONDS)})
    return None


def _unreadable(errors: Iterable[Fault]) -> Problem:
    found = sorted(errors)
    first = found[0] if found else ("", "unreadable", "The record can't be read.")
    others = f" And {len(found) - 1} more." if len(found) > 1 else ""
    return Problem("content-unreadable", f"{first[0] or '/'}: {first[2]}{others}", errors=found)


def _of_the_framework(error: Exception) -> Problem | None:
    if isinstance(error, Http404):
        return Problem("not-found", "There is nothing here for you under this address.")
    if isinstance(error, RequestDataTooBig):
        return Problem("body-too-large")
    if isinstance(error, UnreadablePostError):
        return Problem("bad-request", "The body broke off before its end.")
    if isinstance(error, DisallowedHost):
        return Problem("bad-host")
    if isinstance(error, SuspiciousOperation):
        return Problem("bad-request")
    if isinstance(error, exceptions.NotAuthenticated):
        return Problem("not-signed-in", headers=_challenge(error))
    if isinstance(error, exceptions.AuthenticationFailed):
        return Problem("not-signed-in", headers=_challenge(error))
    if isinstance(error, exceptions.MethodNotAllowed):
        return Problem("method-not-allowed", str(error.detail))
    if isinstance(error, exceptions.APIException):
        return Problem(problems.BY_STATUS.get(error.status_code, "bad-request"), str(error.detail))
    return None


def _challenge(error: exceptions.APIException) -> dict[str, str]:
    header = getattr(error, "auth_header", None)
    return {"WWW-Authenticate": header} if header else {}
