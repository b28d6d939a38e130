"""One spelling for the content that digests and the journal are made from.

Keys sorted, no spaces, no floats: a decimal travels as a string, so the same content has the same
bytes on every machine and every build. RFC 8785 is not used because it prints numbers as doubles.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

_ENCODER: Final = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def plain(value: Any) -> Any:
    """The JSON form of a value: decimals as strings, tuples as lists. Refuses floats and strangers."""
    kind = type(value)  # asked first: it is several times faster than isinstance, and nearly always one of these
    if kind is str or value is None or kind is bool or kind is int:
        return value
    if kind is dict:
        return {str(key): plain(item) for key, item in value.items()}
    if kind is list or kind is tuple:
        return [plain(item) for item in value]
    if isinstance(value, int | str):
        return value
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, Sequence):
        return [plain(item) for item in value]
    raise TypeError(f"{type(value).__name__} has no canonical form; give text, a whole number or a decimal.")


def text(value: Any) -> str:
    """The canonical JSON text of a value."""
    return _ENCODER.encode(plain(value))


def digest(value: Any) -> str:
    """SHA-256 (hexadecimal) of the canonical text."""
    return hashlib.sha256(text(value).encode("utf-8")).hexdigest()


def digest_of_plain(content: Any) -> str:
    """The same for content that is plain already, as `plain` gives it: a third faster. A decimal is a `TypeError`."""
    return hashlib.sha256(_ENCODER.encode(content).encode("utf-8")).hexdigest()
