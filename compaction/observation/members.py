"""Strict reading of JSON members: every problem is collected with its pointer, nothing is guessed or dropped."""

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, TypeVar

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.quantities import parse_number, parse_quantity
from projects.geometry.coordinate_text import CoordinateTextError

Value = TypeVar("Value")

_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}", re.ASCII)
_TIME = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?(Z|[+-][0-9]{2}:[0-9]{2})", re.ASCII
)
# Controls (C0, delete, C1), lone surrogates and the two line separators of Unicode.
_FORBIDDEN = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_FORBIDDEN_IN_LINES = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_WIDEST_OFFSET_H = 14  # the farthest zone in use is UTC+14
# No test is of another year; near the ends of the calendar a moment can't be brought into another time zone.
_YEARS = range(1900, 2201)


class ContentError(ValueError):
    """A body that cannot be read. `errors` lists (JSON pointer, code, sentence), all of them, by pointer."""

    def __init__(self, errors: Iterable[tuple[str, str, str]]) -> None:
        self.errors = sorted(errors)
        super().__init__("; ".join(f"{pointer or '/'}: {sentence}" for pointer, _, sentence in self.errors))


class Members:
    """The members of one JSON object, read by name. Call `finish` at the end: what nobody asked for is an error."""

    def __init__(self, content: Mapping[str, Any], pointer: str, errors: list[tuple[str, str, str]]) -> None:
        self.content = content
        self.pointer = pointer
        self.errors = errors
        self._asked: set[str] = set()

    def at(self, name: str) -> str:
        """The JSON pointer (RFC 6901) of a member."""
        return f"{self.pointer}/{_escape(name)}"

    def problem(self, name: str, code: str, sentence: str) -> None:
        """Note one problem with a member."""
        self.errors.append((self.at(name), code, sentence))

    def has(self, name: str) -> bool:
        """Whether the member was sent (null counts as sent and is then refused by its reader)."""
        return name in self.content

    def _take(self, name: str, required: bool, read: Callable[[Any, str], Value]) -> Value | None:
        self._asked.add(name)
        if name not in self.content:
            if required:
                self.problem(name, "missing", f"'{name}' is missing; it must be stated.")
            return None
        try:
            return read(self.content[name], self.at(name))
        except ReadingError as error:
            self.errors.append((error.pointer, error.code, error.sentence))
        except ReadingsError as error:
            for one in error.errors:
                self.errors.append((f"{self.at(name)}{one.pointer}", one.code, one.sentence))
        return None

    def text(self, name: str, *, longest: int, required: bool = False, lines: bool = False) -> str:
        """Text of at most `longest` characters, "" where it was not sent; line breaks and tabs only with `lines`."""
        return self._take(name, required, lambda value, at: _text(value, at, longest, lines)) or ""

    def choice(self, name: str, choices: Iterable[str], *, required: bool = False) -> str:
        """One value of a closed list, "" where it was not sent."""
        return self._take(name, required, lambda value, at: _choice(value, at, choices)) or ""

    def quantity(self, name: str, kind: str, *, required: bool = False) -> Decimal | None:
        """A quantity with its unit, in the unit used inside."""
        return self._take(name, required, lambda value, at: parse_quantity(value, kind, at))

    def number(self, name: str, *, required: bool = False, within: tuple[int, int] | None = None) -> Decimal | None:
        """A plain decimal written as text (a ratio, degrees)."""
        return self._take(name, required, lambda value, at: _number(value, at, within))

    def degrees(self, name: str, parse: Callable[[str], Decimal], *, required: bool = False) -> Decimal | None:
        """A latitude or longitude in decimal degrees, as its parser takes it."""

        def read(value: Any, at: str) -> Decimal:
            try:
                return parse(value if isinstance(value, str) else repr(value))
            except CoordinateTextError as error:
                raise ReadingError(at, "not-degrees", str(error)) from error

        return self._take(name, required, read)

    def whole(self, name: str, *, within: tuple[int, int]) -> int | None:
        """A JSON integer within inclusive bounds."""
        return self._take(name, False, lambda value, at: _whole(value, at, within))

    def flag(self, name: str) -> bool:
        """true or false, false where it was not sent."""
        return bool(self._take(name, False, _flag))

    def time(self, name: str, *, required: bool = False) -> datetime | None:
        """A moment in RFC 3339 with seconds and offset."""
        return self._take(name, required, read_time)

    def uuid(self, name: str) -> str:
        """A UUID in canonical lower-case form, "" where it was not sent."""
        return self._take(name, False, _uuid) or ""

    def mapping(self, name: str, *, required: bool = False) -> "Members | None":
        """A JSON object, whose members are read in turn."""
        found = self._take(name, required, _mapping)
        return None if found is None else Members(found, self.at(name), self.errors)

    def items(self, name: str, *, most: int, required: bool = False) -> "list[Members]":
        """A JSON array of objects, at least one and at most `most`; empty where it was not sent."""
        found = self._take(name, required, lambda value, at: _array(value, at, most)) or []
        members = []
        for place, item in enumerate(found):
            at = f"{self.at(name)}/{place}"
            if isinstance(item, Mapping):
                members.append(Members(item, at, self.errors))
            else:
                self.errors.append((at, "not-an-object", "This must be a JSON object."))
        return members

    def array(self, name: str, read: Callable[[Any, str], Value], *, most: int) -> "list[Value]":
        """A JSON array whose entries `read` takes one by one with their pointers; empty where it was not sent."""
        found = self._take(name, False, lambda value, at: _array(value, at, most)) or []
        values = []
        for place, item in enumerate(found):
            try:
                values.append(read(item, f"{self.at(name)}/{place}"))
            except ReadingError as error:
                self.errors.append((error.pointer, error.code, error.sentence))
        return values

    def through(self, name: str, read: Callable[[Mapping[str, Any]], Value], *, required: bool = False) -> Value | None:
        """A JSON object read by a function of its own, which raises `ReadingsError` with pointers relative to it."""

        def checked(value: Any, at: str) -> Value:
            return read(_mapping(value, at))

        return self._take(name, required, checked)

    def finish(self) -> None:
        """Refuse every member that was not asked for: evidence is never dropped silently."""
        for name in self.content:
            if name not in self._asked:
                known = ", ".join(sorted(self._asked))
                self.errors.append(
                    (self.at(str(name)), "unknown-member", f"{ascii(name)[:60]} is not known here; known: {known}.")
                )


def _escape(name: str) -> str:
    """A name inside a JSON pointer, with whatever could not be sent back or printed spelt out."""
    safe = _FORBIDDEN.sub(lambda found: f"\\u{ord(found.group()):04x}", name[:80])
    return safe.replace("~", "~0").replace("/", "~1")


def _text(value: Any, at: str, longest: int, lines: bool) -> str:
    if not isinstance(value, str):
        raise ReadingError(at, "not-text", "This must be text in quotes.")
    if len(value) > longest:
        raise ReadingError(at, "too-long", f"This has {len(value)} characters; at most {longest} are kept.")
    found = (_FORBIDDEN_IN_LINES if lines else _FORBIDDEN).search(value)
    if found is not None:
        raise ReadingError(
            at, "control-character", f"Character U+{ord(found.group()):04X} cannot be kept in a record; leave it out."
        )
    if not lines and value != value.strip():
        raise ReadingError(at, "blank-at-end", "This begins or ends with a blank; leave the blank out.")
    return value


def _choice(value: Any, at: str, choices: Iterable[str]) -> str:
    known = tuple(choices)
    if not isinstance(value, str) or value not in known:
        raise ReadingError(at, "not-a-choice", f"{ascii(value)[:60]} is not one of {', '.join(known)}.")
    return value


def _number(value: Any, at: str, within: tuple[int, int] | None) -> Decimal:
    number = parse_number(value, at)
    if within is not None and not within[0] <= number <= within[1]:
        raise ReadingError(at, "out-of-range", f"{number} does not lie between {within[0]} and {within[1]}.")
    return number


def _whole(value: Any, at: str, within: tuple[int, int]) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ReadingError(at, "not-whole", "This must be a whole number without quotes.")
    if not within[0] <= value <= within[1]:
        raise ReadingError(at, "out-of-range", f"This must lie between {within[0]} and {within[1]}.")
    return value


def _flag(value: Any, at: str) -> bool:
    if not isinstance(value, bool):
        raise ReadingError(at, "not-true-or-false", "This must be true or false, without quotes.")
    return value


def read_time(value: Any, at: str) -> datetime:
    """A moment in RFC 3339 with seconds and offset, in a year that a test can be of. Raises `ReadingError`."""
    example = "write for example '2026-06-03T09:15:00-06:00'"
    if not isinstance(value, str) or _TIME.fullmatch(value) is None or value.endswith("-00:00"):
        raise ReadingError(
            at, "not-a-time", f"{ascii(value)[:60]} is not a time with seconds and the offset from UTC; {example}."
        )
    try:
        moment = datetime.fromisoformat(value)
    except ValueError:
        raise ReadingError(
            at, "not-a-time", f"{ascii(value)[:60]} does not exist in the calendar; {example}."
        ) from None
    if moment.year not in _YEARS:
        raise ReadingError(at, "not-a-time", f"The year must lie between {_YEARS[0]} and {_YEARS[-1]}; {example}.")
    offset = moment.utcoffset()
    if offset is None or abs(offset.total_seconds()) > _WIDEST_OFFSET_H * 3600:
        raise ReadingError(
            at, "not-a-time", f"No place on earth is more than {_WIDEST_OFFSET_H} h from UTC; {example}."
        )
    return moment


def _uuid(value: Any, at: str) -> str:
    if not isinstance(value, str) or _UUID.fullmatch(value) is None:
        raise ReadingError(
            at, "not-a-uuid", f"{ascii(value)[:60]} is not a UUID in lower case with hyphens (8-4-4-4-12 digits)."
        )
    return value


def _mapping(value: Any, at: str) -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise ReadingError(at, "not-an-object", "This must be a JSON object.")
    return value


def _array(value: Any, at: str, most: int) -> list[Any]:
    if not isinstance(value, list | tuple):
        raise ReadingError(at, "not-an-array", "This must be a JSON array.")
    if not 1 <= len(value) <= most:
        raise ReadingError(
            at, "out-of-range", f"This must hold between 1 and {most} items; leave it out if it has none."
        )
    return list(value)
