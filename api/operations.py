"""What a view declares about each of its methods: the right, the words, the query, the body, the answers.

Checks, access and the OpenAPI document are all made from this one declaration.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

from django.http import QueryDict

from api.errors import Problem

# What would put a key into the address.
KEY_NAMES: Final = frozenset({"token", "api_key", "apikey", "key", "access_token", "auth", "authorization", "bearer"})


@dataclass(frozen=True)
class Parameter:
    """A query parameter: `read` makes its value and raises `ValueError` with a sentence."""

    name: str
    read: Callable[[str], Any]
    words: str
    schema: Mapping[str, Any]


@dataclass(frozen=True)
class Operation:
    """One method of one address. `body` and the values of `answers` name schemas of the document."""

    needs: str
    summary: str
    answers: Mapping[int, str]
    body: str = ""
    words: str = ""
    parameters: tuple[Parameter, ...] = ()
    problems: tuple[str, ...] = ()
    headers: Mapping[str, str] = field(default_factory=dict)
    media: str = "application/json"  # of the answers


def read_query(query: QueryDict, operation: Operation) -> dict[str, Any]:
    """The values of the declared parameters. Raises `Problem` for whatever else stands in the query."""
    declared = {parameter.name: parameter for parameter in operation.parameters}
    errors: list[tuple[str, str, str]] = []
    values: dict[str, Any] = {}
    for name, written in query.lists():
        if name.lower() in KEY_NAMES and name not in declared:
            raise Problem(
                "key-in-address", "Send the key as a header, Authorization: Bearer llk_..., never in an address."
            )
        parameter = declared.get(name)
        shown = ascii(name)[:60]
        if parameter is None:
            known = ", ".join(sorted(declared)) or "none"
            errors.append(("", "unknown-parameter", f"{shown} is not a parameter here; known are: {known}."))
        elif len(written) != 1:
            errors.append(("", "given-twice", f"{shown} is given {len(written)} times; give it once."))
        else:
            try:
                values[name] = parameter.read(_plain(written[0]))
            except ValueError as error:
                errors.append(("", "parameter-value", f"{shown}: {error}"))
    if errors:
        raise Problem("query-parameter", errors[0][2], errors=errors)
    return values


def _plain(text: str) -> str:
    if len(text) > 2000 or not text.isprintable() or "\ufffd" in text:
        raise ValueError("at most 2000 printable characters in UTF-8 are taken here.")
    return text


# ---- readers of values ---------------------------------------------------------------------------
def whole(lowest: int, highest: int) -> Callable[[str], int]:
    """A reader of a whole number in plain ASCII digits."""

    def read(text: str) -> int:
        if re.fullmatch(r"0|[1-9][0-9]{0,8}", text, re.ASCII) is None or not lowest <= int(text) <= highest:
            raise ValueError(f"a whole number from {lowest} to {highest} is wanted.")
        return int(text)

    return read


def choice(*known: str) -> Callable[[str], str]:
    """A reader of one word of a closed list."""

    def read(text: str) -> str:
        if text not in known:
            raise ValueError(f"one of {', '.join(known)} is wanted.")
        return text

    return read


def words(longest: int) -> Callable[[str], str]:
    """A reader of short text."""

    def read(text: str) -> str:
        if not text or len(text) > longest:
            raise ValueError(f"1 to {longest} characters are wanted.")
        return text

    return read


def day(text: str) -> date:
    """A calendar day, 2026-06-03."""
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text, re.ASCII):
        try:
            found = date.fromisoformat(text)
        except ValueError:
            pass
        else:
            if 1900 <= found.year <= 2200:
                return found
    raise ValueError("a day as 2026-06-03 is wanted, from 1900 to 2200.")


def yes_no(text: str) -> bool:
    """true or false."""
    return choice("true", "false")(text) == "true"
