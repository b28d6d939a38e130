"""The methods of in-place density testing, by code: one entry a method.

Adding a method touches its module, an entry here, a readings form partial, a worked example, its test and a line of
the glossary.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final

from compaction.calculations import nuclear_gauge, sand_cone, transcribed
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.in_place import InPlace
from compaction.calculations.readings import Field, Values, read_fields
from compaction.calculations.worksheet import NO_SHEET, Worksheet

__all__ = ["METHODS", "Field", "InPlace", "Method", "read_readings", "work"]

Upgrader = Callable[[Mapping[str, Any]], Mapping[str, Any]]


@dataclass(frozen=True)
class Method:
    """One method. `schema` is the current number of its readings; `upgraders[n]` brings readings from n to n + 1."""

    code: str
    schema: int
    title: str
    standards: tuple[str, ...]
    fields: tuple[Field, ...]
    readings_type: type
    read: Callable[[Values], Any]
    work: Callable[[Any, Worksheet], InPlace]
    upgraders: Mapping[int, Upgrader] = field(default_factory=dict)


METHODS: Final[Mapping[str, Method]] = MappingProxyType(
    {
        "sand_cone": Method(
            code="sand_cone",
            schema=1,
            title="Sand cone",
            standards=("ASTM D1556", "AASHTO T 191"),
            fields=sand_cone.FIELDS,
            readings_type=sand_cone.SandConeReadings,
            read=sand_cone.read,
            work=sand_cone.work,
        ),
        "nuclear_gauge": Method(
            code="nuclear_gauge",
            schema=1,
            title="Nuclear gauge",
            standards=("ASTM D6938", "AASHTO T 310"),
            fields=nuclear_gauge.FIELDS,
            readings_type=nuclear_gauge.NuclearGaugeReadings,
            read=nuclear_gauge.read,
            work=nuclear_gauge.work,
        ),
        "transcribed": Method(
            code="transcribed",
            schema=1,
            title="Figures from a sheet without readings",
            standards=(),
            fields=transcribed.FIELDS,
            readings_type=transcribed.TranscribedReadings,
            read=transcribed.read,
            work=transcribed.work,
        ),
    }
)


def read_readings(method_code: str, schema: int, mapping: object) -> Any:
    """The readings of a method as its frozen dataclass, from what a client wrote or the table holds.

    Raises `ReadingsError` with every problem at once; pointers are relative to the readings. Source: the standard
    of the method, see `Method.standards`.

    >>> read_readings("transcribed", 1, {"dry_density": "1800 kg/m3"}).dry_density_kgm3
    Decimal('1800')
    """
    method = METHODS.get(method_code)
    if method is None:
        raise ReadingsError(
            [
                ReadingError(
                    "",
                    "unknown-method",
                    f"{str(method_code)[:40]!a} is not a method; use one of {', '.join(METHODS)}.",
                )
            ]
        )
    if not 1 <= schema <= method.schema:
        raise ReadingsError(
            [
                ReadingError(
                    "",
                    "unknown-schema",
                    f"Readings of {method.title} have schema 1 to {method.schema}, not {schema}; update the server.",
                )
            ]
        )
    for number in range(schema, method.schema):
        assert isinstance(mapping, Mapping)
        mapping = method.upgraders[number](mapping)
    return method.read(read_fields(method.fields, mapping))


def work(readings: object, sheet: Worksheet = NO_SHEET) -> InPlace:
    """Work readings of any method by their type. Raises the method's `CalculationError`.

    Source: the standard of the method, see `Method.standards`.

    >>> work(read_readings("transcribed", 1, {"dry_density": "1800 kg/m3"})).dry_density_kgm3
    Decimal('1800')
    """
    return _BY_TYPE[type(readings)].work(readings, sheet)


_BY_TYPE: Final = {method.readings_type: method for method in METHODS.values()}
