"""Reading a method's fields from what a client wrote: strict, and with every problem told at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.quantities import UNITS, parse_count, parse_number, parse_quantity

TEXT_LIMIT = 200
MOST_GROUPS = 20
#: Metadata of a reading that came later than its method. Left at its default it is not part of a test's digest, so that
#: tests from before it keep theirs.
LATER: Final = MappingProxyType({"later": True})


@dataclass(frozen=True)
class Field:
    """One entry of a method's readings.

    `kind` is a kind of quantity (see `quantities.UNITS`), several of them joined by "|",
    or count, choice, text, number, yes_no, group, groups. Of the fields
    that share a `one_of` name exactly one must be given. A group holds `fields` of its own, groups are a list of them.
    """

    name: str
    kind: str
    required: bool
    label: str
    choices: tuple[str, ...] = ()
    one_of: str = ""
    fields: tuple["Field", ...] = ()


class Values:
    """Values read from a mapping, handed out by type."""

    def __init__(self, values: Mapping[str, object], kinds: Mapping[str, str] | None = None) -> None:
        self._values = values
        self._kinds = kinds or {}

    def kind(self, name: str) -> str:
        """The kind of quantity that was given, where a field takes more than one."""
        return self._kinds[name]

    def decimal(self, name: str) -> Decimal:
        """The value of a required quantity."""
        value = self._values[name]
        assert isinstance(value, Decimal)
        return value

    def optional_decimal(self, name: str) -> Decimal | None:
        """The value of a quantity that may be left out."""
        return self.decimal(name) if name in self._values else None

    def optional_count(self, name: str) -> int | None:
        """The value of a count that may be left out."""
        value = self._values.get(name)
        assert value is None or isinstance(value, int)
        return value

    def text(self, name: str) -> str:
        """The value of a text or choice; empty if left out."""
        value = self._values.get(name, "")
        assert isinstance(value, str)
        return value

    def yes(self, name: str) -> bool:
        """The value of a yes or no; no if left out."""
        return self._values.get(name) is True

    def group(self, name: str) -> "Values | None":
        """The values of a group, or None if it was left out."""
        value = self._values.get(name)
        assert value is None or isinstance(value, Values)
        return value

    def groups(self, name: str) -> "tuple[Values, ...]":
        """The values of each group of a list, none if it was left out."""
        value = self._values.get(name, ())
        assert isinstance(value, tuple)
        return value


def read_fields(fields: Sequence[Field], mapping: object, pointer: str = "") -> Values:
    """The values of `fields` from what was written; raises `ReadingsError` with every problem, each with its pointer.

    Unknown names are refused: a reading dropped in silence is lost evidence. Source: common practice (no source).

    >>> read_fields([Field("depth", "length", True, "Depth")], {"depth": "6 in"}).decimal("depth")
    Decimal('0.1524')
    """
    if not isinstance(mapping, Mapping):
        raise ReadingsError(
            [ReadingError(pointer, "not-an-object", "An object with named readings is wanted here, {...}.")]
        )
    errors: list[ReadingError] = []
    values: dict[str, object] = {}
    kinds: dict[str, str] = {}
    known = {field.name for field in fields}
    for name in mapping:
        if name not in known:
            errors.append(
                ReadingError(
                    f"{pointer}/{_escaped(str(name))}",
                    "unknown-name",
                    f"{str(name)[:40]!a} is not a reading of this method; it takes {', '.join(sorted(known))}.",
                )
            )
    for field in fields:
        here = f"{pointer}/{field.name}"
        if field.name not in mapping:
            if field.required:
                errors.append(ReadingError(here, "missing", f"{field.label} is missing; give {field.name!r}."))
            continue
        kinds[field.name] = _kind(field, mapping[field.name])
        try:
            values[field.name] = _value(field, kinds[field.name], mapping[field.name], here)
        except ReadingError as error:
            errors.append(error)
        except ReadingsError as several:
            errors.extend(several.errors)
    errors.extend(_exactly_one(fields, mapping, pointer))
    if errors:
        raise ReadingsError(errors)
    return Values(values, kinds)


def _exactly_one(fields: Sequence[Field], mapping: Mapping[str, object], pointer: str) -> list[ReadingError]:
    groups: dict[str, list[str]] = {}
    for field in fields:
        if field.one_of:
            groups.setdefault(field.one_of, []).append(field.name)
    errors = []
    for names in groups.values():
        given = [name for name in names if name in mapping]
        if len(given) != 1:
            choice = " or ".join(repr(name) for name in names)
            found = "both are given" if given else "none is given"
            errors.append(
                ReadingError(f"{pointer}/{names[0]}", "exactly-one-of", f"Give {choice}, exactly one; {found}.")
            )
    return errors


def _kind(field: Field, written: object) -> str:
    kinds = field.kind.split("|")
    unit = written.partition(" ")[2] if isinstance(written, str) else ""
    return next((kind for kind in kinds if unit in UNITS.get(kind, ())), kinds[0])


def _value(field: Field, kind: str, written: object, pointer: str) -> object:
    if kind in UNITS:
        return parse_quantity(written, kind, pointer)
    if field.kind == "number":
        return parse_number(written, pointer)
    if field.kind == "count":
        return parse_count(written, pointer)
    if field.kind == "group":
        return read_fields(field.fields, written, pointer)
    if field.kind == "groups":
        return _groups(field, written, pointer)
    if field.kind == "yes_no":
        if not isinstance(written, bool):
            raise ReadingError(pointer, "not-yes-or-no", "Write true or false, without quotes.")
        return written
    if not isinstance(written, str):
        raise ReadingError(pointer, "not-text", "Text in quotes is wanted here.")
    if field.kind == "choice":
        if written not in field.choices:
            raise ReadingError(
                pointer,
                "not-a-choice",
                f"{written[:40]!a} is not one of {', '.join(field.choices)}.",
            )
        return written
    if len(written) > TEXT_LIMIT or not written.isprintable():
        raise ReadingError(
            pointer, "text-not-plain", f"At most {TEXT_LIMIT} printable characters on one line are taken here."
        )
    return written


def _groups(field: Field, written: object, pointer: str) -> tuple[Values, ...]:
    if not isinstance(written, Sequence) or isinstance(written, str) or not 1 <= len(written) <= MOST_GROUPS:
        raise ReadingError(pointer, "not-a-list", f"A list of 1 to {MOST_GROUPS} objects is wanted here, [{{...}}].")
    errors: list[ReadingError] = []
    groups: list[Values] = []
    for place, one in enumerate(written):
        try:
            groups.append(read_fields(field.fields, one, f"{pointer}/{place}"))
        except ReadingsError as several:
            errors.extend(several.errors)
    if errors:
        raise ReadingsError(errors)
    return tuple(groups)


def _escaped(name: str) -> str:
    """A name inside a JSON pointer (RFC 6901), kept printable and short."""
    plain = name[:60].encode("ascii", "backslashreplace").decode("ascii")
    return plain.replace("~", "~0").replace("/", "~1")
