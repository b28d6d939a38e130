"""Reading numbers out of stored content, strictly: decimals travel as strings, unknown keys are refused."""

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

_DECIMAL = re.compile(r"-?(0|[1-9][0-9]{0,11})(\.[0-9]{1,12})?", re.ASCII)


class ContentError(ValueError):
    """Stored or sent content does not have the expected form. The sentence names the place."""

    def __init__(self, where: str, problem: str) -> None:
        self.where = where
        super().__init__(f"{where or 'The content'}: {problem}")


def as_decimal(value: Any, where: str) -> Decimal:
    """A decimal from a string such as "-12.50" (or a Decimal). Floats and exponents are refused."""
    if isinstance(value, Decimal):
        if value.is_finite():
            return value
    elif isinstance(value, str) and _DECIMAL.fullmatch(value):
        return Decimal(value)
    raise ContentError(where, "a decimal number written as text is needed, such as “1234.56”.")


def optional_decimal(content: Mapping[str, Any], key: str, where: str) -> Decimal | None:
    """The decimal under a key, or None where the key is missing or null."""
    value = content.get(key)
    return None if value is None else as_decimal(value, f"{where}{key}")


def needed_decimal(content: Mapping[str, Any], key: str, where: str) -> Decimal:
    """The decimal under a key that must be there."""
    if content.get(key) is None:
        raise ContentError(f"{where}{key}", "a decimal number is missing here.")
    return as_decimal(content[key], f"{where}{key}")


def as_pair(value: Any, where: str) -> tuple[Decimal, Decimal]:
    """Easting and northing, in that order, as a list of two decimals."""
    if isinstance(value, str) or not isinstance(value, Sequence) or len(value) != 2:
        raise ContentError(where, "two numbers are needed, easting first, then northing.")
    return as_decimal(value[0], f"{where}[0]"), as_decimal(value[1], f"{where}[1]")


def as_list(value: Any, where: str) -> Sequence[Any]:
    """A list that may be empty; anything else is refused."""
    if isinstance(value, str) or not isinstance(value, Sequence):
        raise ContentError(where, "a list is needed.")
    return value


def as_object(value: Any, where: str, allowed: frozenset[str]) -> Mapping[str, Any]:
    """An object with no keys but the allowed ones."""
    if not isinstance(value, Mapping):
        raise ContentError(where, "an object is needed.")
    unknown = sorted(set(map(str, value)) - allowed)
    if unknown:
        raise ContentError(where, f"“{unknown[0]}” is not known here. Known: {', '.join(sorted(allowed))}.")
    return value


def plain_decimal(value: Decimal) -> str:
    """One spelling for one number: no exponent, no trailing zeros, no minus zero."""
    shown = format(value.normalize(), "f")
    return "0" if shown == "-0" else shown


def plain_optional(value: Decimal | None) -> str | None:
    """As `plain_decimal`, None stays None."""
    return None if value is None else plain_decimal(value)
