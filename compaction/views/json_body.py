"""The JSON that our own scripts send, read strictly: no name twice, no fraction or NaN where text is wanted."""

import json
from typing import Any, NoReturn

from django.http import HttpRequest

LARGEST = 200_000


class BodyNotUnderstood(ValueError):
    """The body is no JSON object of the kind that the entry form sends."""


def read(request: HttpRequest) -> tuple[dict[str, Any], str]:
    """(object, text as received). Raises `BodyNotUnderstood`."""
    if len(request.body) > LARGEST:
        raise BodyNotUnderstood(f"At most {LARGEST} bytes are read here; nothing was taken.")
    try:
        text = request.body.decode("utf-8")
        content = json.loads(text, parse_float=_refuse, parse_constant=_refuse, object_pairs_hook=_members)
    except (UnicodeDecodeError, RecursionError, json.JSONDecodeError):
        raise BodyNotUnderstood("The record did not arrive whole; send it again.") from None
    if not isinstance(content, dict):
        raise BodyNotUnderstood("An object with named members is wanted here.")
    if "\x00" in text or "\\u0000" in text:
        raise BodyNotUnderstood("The record holds a character that cannot be stored; type the text again.")
    return content, text


def _refuse(written: str) -> NoReturn:
    raise BodyNotUnderstood(f"{written[:20]} stands without quotes; figures are sent as text with their unit.")


def _members(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise BodyNotUnderstood("A name stands twice in the record.")
    return found
