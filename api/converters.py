"""Parts of an address, each in one spelling only."""

import uuid
from datetime import date
from typing import Any

from django.urls import register_converter


class LowerCaseUuid:
    """A UUID in canonical form: two spellings of one id would be two addresses of one record."""

    regex = "[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}"

    def to_python(self, value: str) -> uuid.UUID:
        """The id."""
        return uuid.UUID(value)

    def to_url(self, value: Any) -> str:
        """Its canonical form."""
        return str(value)


class Code:
    """The code of a project, reference, specification, alignment or area, or a serial number."""

    regex = "[A-Za-z0-9][A-Za-z0-9._-]{0,39}"

    def to_python(self, value: str) -> str:
        """As it stands."""
        return value

    def to_url(self, value: Any) -> str:
        """As it stands."""
        return str(value)


class Revision:
    """The number of a revision, from 1, without leading zeros."""

    regex = "[1-9][0-9]{0,4}"

    def to_python(self, value: str) -> int:
        """The number."""
        return int(value)

    def to_url(self, value: Any) -> str:
        """Its digits."""
        return str(value)


class Place:
    """The area of a lift, as placements name it: words, with blanks and strokes between them.

    A stroke may come as it is or as %2F: a server takes both for the same. What follows begins with a number, so
    that an address can be read in one way only.
    """

    regex = ".{1,40}"

    def to_python(self, value: str) -> str:
        """As it stands."""
        return value

    def to_url(self, value: Any) -> str:
        """As it stands."""
        return str(value)


class LiftNumber:
    """The number of a lift, without leading zeros."""

    regex = "0|[1-9][0-9]{0,3}"

    def to_python(self, value: str) -> int:
        """The number."""
        return int(value)

    def to_url(self, value: Any) -> str:
        """Its digits."""
        return str(value)


class Digest:
    """A SHA-256 in lower-case digits."""

    regex = "[0-9a-f]{64}"

    def to_python(self, value: str) -> str:
        """As it stands."""
        return value

    def to_url(self, value: Any) -> str:
        """As it stands."""
        return str(value)


class Day:
    """A calendar day, 2026-06-03. One that is none is no address."""

    regex = "[0-9]{4}-[0-9]{2}-[0-9]{2}"

    def to_python(self, value: str) -> date:
        """The day; `ValueError` makes it an address of nothing."""
        return date.fromisoformat(value)

    def to_url(self, value: Any) -> str:
        """In ISO 8601."""
        return str(value)


def register() -> None:
    """Make them known to `path`."""
    register_converter(LowerCaseUuid, "id")
    register_converter(Code, "code")
    register_converter(Revision, "rev")
    register_converter(Place, "place")
    register_converter(LiftNumber, "lift")
    register_converter(Digest, "digest")
    register_converter(Day, "day")
