"""Reading what a person or client wrote for set-up and follow-up records: strict, all problems at once."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field, Values, read_fields
from compaction.observation.members import read_time

Item = TypeVar("Item")
_DAY = re.compile(r"(19|20|21)[0-9]{2}-[0-9]{2}-[0-9]{2}", re.ASCII)


@dataclass(frozen=True)
class Part:
    """The members of a record that are lists or moments, which flat fields can't hold."""

    name: str
    read: Callable[[Any, str], Any]
    required: bool = False


def read_record(fields: Sequence[Field], parts: Sequence[Part], body: object) -> tuple[Values, dict[str, Any]]:
    """Flat fields and parts of a record. Raises `ReadingsError` with every problem and its pointer."""
    if not isinstance(body, Mapping):
        raise ReadingsError([ReadingError("", "not-an-object", "An object with named members is wanted here, {...}.")])
    errors: list[ReadingError] = []
    read: dict[str, Any] = {}
    names = {part.name for part in parts}
    flat = {name: value for name, value in body.items() if name not in names}
    values = Values({})
    try:
        values = read_fields(fields, flat)
    except ReadingsError as several:
        errors.extend(several.errors)
    for part in parts:
        if part.name not in body:
            if part.required:
                errors.append(ReadingError(f"/{part.name}", "missing", f"Give {part.name!r}."))
            continue
        try:
            read[part.name] = part.read(body[part.name], f"/{part.name}")
        except ReadingError as error:
            errors.append(error)
        except ReadingsError as several:
            errors.extend(several.errors)
    if errors:
        raise ReadingsError(errors)
    return values, read


def list_of(
    make: Callable[[Values], Item], fields: Sequence[Field], *, at_most: int
) -> Callable[[Any, str], list[Item]]:
    """A reader of a list whose items have `fields`."""

    def read(written: Any, pointer: str) -> list[Item]:
        if not isinstance(written, list) or len(written) > at_most:
            raise ReadingError(pointer, "not-a-list", f"A list of at most {at_most} entries is wanted here.")
        errors: list[ReadingError] = []
        items: list[Item] = []
        for index, entry in enumerate(written):
            try:
                items.append(make(read_fields(fields, entry, f"{pointer}/{index}")))
            except ReadingsError as several:
                errors.extend(several.errors)
        if errors:
            raise ReadingsError(errors)
        return items

    return read


def day(written: Any, pointer: str) -> date:
    """A calendar day, 2026-06-03, from 1900 to 2200."""
    if isinstance(written, str) and _DAY.fullmatch(written):
        try:
            return date.fromisoformat(written)
        except ValueError:
            pass
    raise ReadingError(pointer, "not-a-day", "Write a day as 2026-06-03.")


def moment(written: Any, pointer: str) -> datetime:
    """A moment with its offset, 2026-06-03T09:15:00-06:00. A time without one could mean two moments."""
    return read_time(written, pointer)


def long_text(written: Any, pointer: str, *, limit: int = 4000) -> str:
    """Free text: line breaks are welcome, control characters are not."""
    plain = isinstance(written, str) and len(written) <= limit
    if plain and all(character.isprintable() or character in "\n\t" for character in written):
        return str(written)
    raise ReadingError(pointer, "text-not-plain", f"At most {limit} characters of plain text are taken here.")
