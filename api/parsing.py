"""The body of a request: strict JSON in UTF-8, read once, with every problem told and its place.

Plain `json.loads` takes NaN, lets the last of two equal names win, and hands on control characters that
PostgreSQL refuses to store. Evidence is not read that way.
"""

import json
import re
from decimal import Decimal
from typing import IO, Any, Final, NamedTuple, NoReturn

from rest_framework.parsers import BaseParser

from api.errors import Problem

LARGEST_BODY: Final = 2_500_000
DEEPEST: Final = 20
MOST_DIGITS: Final = 40
MOST_ERRORS: Final = 50
# C0 controls without tab and line feed, delete, C1 controls, lone surrogates.
_FORBIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")


class Document(NamedTuple):
    """What was sent: the content, and the text exactly as received."""

    content: Any
    text: str


class StrictJSONParser(BaseParser):
    """Parser of every address that takes a body; gives a `Document`."""

    media_type = "application/json"

    def parse(  # type: ignore[override]  # what it gives is a document, not a form
        self, stream: IO[bytes], media_type: str | None = None, parser_context: dict[str, Any] | None = None
    ) -> Document:
        """Read the body. Raises `Problem`."""
        request = (parser_context or {})["request"]
        _check_headers(request.META, media_type or "")
        body = stream.read(LARGEST_BODY + 1)
        if len(body) > LARGEST_BODY:
            raise Problem("body-too-large", f"A body of at most {LARGEST_BODY} bytes is read; nothing was taken.")
        try:
            text = body.decode("utf-8")
        except UnicodeDecodeError as error:
            raise Problem("body-not-json", f"Byte {error.start} is not UTF-8; send the body in UTF-8.") from None
        return Document(read_json(text), text)


def _check_headers(meta: dict[str, Any], media_type: str) -> None:
    length = str(meta.get("CONTENT_LENGTH") or "")
    if length.isdecimal() and int(length[:12]) > LARGEST_BODY:
        raise Problem("body-too-large", f"A body of at most {LARGEST_BODY} bytes is read; nothing was taken.")
    if meta.get("HTTP_CONTENT_ENCODING", "identity").strip().lower() != "identity":
        raise Problem("not-json", "A compressed body is not read; leave Content-Encoding out.")
    for parameter in media_type.split(";")[1:]:
        name, _, value = parameter.strip().partition("=")
        if name.lower() == "charset" and value.strip('"').lower() not in ("utf-8", "utf8"):
            raise Problem("not-json", "JSON is read in UTF-8 only; leave the charset out.")


def read_json(text: str) -> Any:
    """The content of a JSON text; fractions become `Decimal`. Raises `Problem` with a pointer for each fault."""
    twice: list[tuple[dict[str, Any], str]] = []

    def members(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            names = [name for name, _ in pairs]
            twice.extend((found, name) for name in found if names.count(name) > 1)
        return found

    try:
        content = json.loads(
            text,
            parse_float=_fraction,
            parse_int=_whole,
            parse_constant=_constant,
            object_pairs_hook=members,
        )
    except RecursionError:
        raise Problem("body-not-json", f"The body is nested too deeply; {DEEPEST} levels are read.") from None
    except json.JSONDecodeError as error:
        raise Problem(
            "body-not-json", f"The body is not JSON: {error.msg} at line {error.lineno}, column {error.colno}."
        ) from None
    except _NumberRefused as error:
        raise Problem("body-not-json", str(error)) from None
    errors = _faults(content, twice)
    if errors:
        raise Problem("body-not-json", errors[0][2], errors=errors[:MOST_ERRORS])
    return content


class _NumberRefused(ValueError):
    """A number that no reading can be."""


def _fraction(written: str) -> Decimal:
    digits = Decimal(written)
    if len(written) > MOST_DIGITS or abs(digits.adjusted()) > MOST_DIGITS:
        raise _NumberRefused(f"The number {written[:20]} is out of every range; at most {MOST_DIGITS} digits are read.")
    return digits


def _whole(written: str) -> int:
    if len(written) > MOST_DIGITS:
        raise _NumberRefused(f"The number {written[:20]}... is too long; at most {MOST_DIGITS} digits are read.")
    return int(written)


def _constant(written: str) -> NoReturn:
    raise _NumberRefused(f"{written} is not a number in JSON; leave out what was not measured.")


def _faults(content: Any, twice: list[tuple[dict[str, Any], str]]) -> list[tuple[str, str, str]]:
    """Walk the tree once, without recursion: depth, forbidden characters, names given twice."""
    doubled: dict[int, list[str]] = {}
    for found, name in twice:
        doubled.setdefault(id(found), []).append(name)
    errors: list[tuple[str, str, str]] = []
    waiting: list[tuple[Any, str, int]] = [(content, "", 1)]
    while waiting and len(errors) < MOST_ERRORS:
        node, pointer, depth = waiting.pop()
        if isinstance(node, str):
            errors.extend(_forbidden(node, pointer))
        elif isinstance(node, dict | list):
            if depth > DEEPEST:
                errors.append((pointer, "too-deep", f"The body is nested too deeply; {DEEPEST} levels are read."))
                continue
            errors.extend(
                (f"{pointer}/{escaped(name)}", "name-twice", f"The name {name[:40]!a} stands twice in one object.")
                for name in doubled.get(id(node), ())
            )
            named = node.items() if isinstance(node, dict) else enumerate(node)
            for member, value in named:
                below = f"{pointer}/{escaped(str(member))}"
                if isinstance(member, str):
                    errors.extend(_forbidden(member, below))
                waiting.append((value, below, depth + 1))
    return sorted(errors)


def _forbidden(text: str, pointer: str) -> list[tuple[str, str, str]]:
    found = _FORBIDDEN.search(text)
    if found is None:
        return []
    return [
        (
            pointer,
            "control-character",
            f"Character U+{ord(found.group()):04X} cannot be kept in a record; leave it out.",
        )
    ]


def escaped(name: str) -> str:
    """A name inside a JSON pointer (RFC 6901), short, and printable whatever was sent."""
    plain = name[:80].encode("ascii", "backslashreplace").decode("ascii")
    printable = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in plain)
    return printable.replace("~", "~0").replace("/", "~1")
