"""The methods of in-place density testing, by code: one entry a method.

Adding a method touches its module, an entry here, a readings form partial, a worked example, its test and a line of
the glossary.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Final, Protocol

from compaction.calculations import (
    drive_cylinder,
    nuclear_gauge,
    rubber_balloon,
    sand_cone,
    sand_replacement,
    stated_wet_density,
    test_pit,
    transcribed,
)
from compaction.calculations.editions import Editions
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.formula import Formula
from compaction.calculations.in_place import InPlace
from compaction.calculations.readings import Field, Values, read_fields
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding

__all__ = ["METHODS", "Field", "InPlace", "Method", "read_readings", "work"]

Upgrader = Callable[[Mapping[str, Any]], Mapping[str, Any]]


class ParticleFindings(Protocol):
    """Whether hole or specimen was large enough for the largest particle, mm, by the editions in force."""

    def __call__(
        self,
        readings: Any,
        in_place: InPlace,
        maximum_particle_mm: Decimal,
        /,
        *,
        editions: Editions = ...,
        sheet: Worksheet = ...,
    ) -> tuple[Finding, ...]: ...


@dataclass(frozen=True)
class Method:
    """One method. `schema` is the current number of its readings; `upgraders[n]` brings readings from n to n + 1.

    `particle_findings` (readings, figures, largest particle in mm; editions, worksheet) says whether the specimen was
    large enough; `both_fractions`: the standard reports the control fraction beside the whole material.
    """

    code: str
    schema: int
    title: str
    standards: tuple[str, ...]
    fields: tuple[Field, ...]
    readings_type: type
    read: Callable[[Values], Any]
    work: Callable[[Any, Worksheet], InPlace]
    upgraders: Mapping[int, Upgrader] = field(default_factory=dict)
    formulas: tuple[Formula, ...] = ()
    particle_findings: ParticleFindings | None = None
    both_fractions: bool = False
    dry_density_step: str = "dry-density"  # the line of the worksheet that cites the method's own clause
    # Quickest honest test, common practice (no source); the counts of a gauge come on top. 0: not known.
    least_minutes: float = 0.0
    volume_by: str = ""  # sand | balloon | water | cylinder | gauge: what `spot_observations` goes by


METHODS: Final[Mapping[str, Method]] = MappingProxyType(
    {
        "sand_cone": Method(
            code="sand_cone",
            least_minutes=15,
            schema=1,
            title="Sand cone",
            standards=("ASTM D1556", "AASHTO T 191"),
            fields=sand_cone.FIELDS,
            readings_type=sand_cone.SandConeReadings,
            read=sand_cone.read,
            work=sand_cone.work,
            formulas=sand_cone.FORMULAS,
            particle_findings=sand_cone.particle_findings,
            volume_by="sand",
        ),
        "nuclear_gauge": Method(
            code="nuclear_gauge",
            least_minutes=2,
            schema=1,
            title="Nuclear gauge",
            standards=("ASTM D6938", "AASHTO T 310"),
            fields=nuclear_gauge.FIELDS,
            readings_type=nuclear_gauge.NuclearGaugeReadings,
            read=nuclear_gauge.read,
            work=nuclear_gauge.work,
            formulas=nuclear_gauge.FORMULAS,
            dry_density_step=nuclear_gauge.DRY_DENSITY_STEP,
            volume_by="gauge",
        ),
        "sand_replacement": Method(
            code="sand_replacement",
            least_minutes=15,
            schema=1,
            title="Sand replacement",
            standards=("BS 1377-9", "IS 2720-28"),
            fields=sand_replacement.FIELDS,
            readings_type=sand_replacement.SandReplacementReadings,
            read=sand_replacement.read,
            work=sand_replacement.work,  # its steps are those of the sand cone
            particle_findings=sand_replacement.particle_findings,
            volume_by="sand",
        ),
        "rubber_balloon": Method(
            code="rubber_balloon",
            least_minutes=12,
            schema=1,
            title="Rubber balloon",
            standards=("ASTM D2167",),
            fields=rubber_balloon.FIELDS,
            readings_type=rubber_balloon.RubberBalloonReadings,
            read=rubber_balloon.read,
            work=rubber_balloon.work,
            formulas=rubber_balloon.FORMULAS,
            particle_findings=rubber_balloon.particle_findings,
            volume_by="balloon",
        ),
        "drive_cylinder": Method(
            code="drive_cylinder",
            least_minutes=6,
            schema=1,
            title="Drive cylinder, core cutter",
            standards=("ASTM D2937", "BS 1377-9", "IS 2720-29"),
            fields=drive_cylinder.FIELDS,
            readings_type=drive_cylinder.DriveCylinderReadings,
            read=drive_cylinder.read,
            work=drive_cylinder.work,
            formulas=drive_cylinder.FORMULAS,
            particle_findings=drive_cylinder.particle_findings,
            volume_by="cylinder",
        ),
        "test_pit_sand": Method(
            code="test_pit_sand",
            least_minutes=60,
            schema=1,
            title="Test pit by sand",
            standards=("ASTM D4914",),
            fields=test_pit.SAND_FIELDS,
            readings_type=test_pit.SandPitReadings,
            read=test_pit.read_sand,
            work=test_pit.work_sand,
            formulas=test_pit.FORMULAS,
            particle_findings=test_pit.sand_particle_findings,
            both_fractions=True,
            volume_by="sand",
        ),
        "test_pit_water": Method(
            code="test_pit_water",
            least_minutes=60,
            schema=1,
            title="Test pit by water",
            standards=("ASTM D5030",),
            fields=test_pit.WATER_FIELDS,
            readings_type=test_pit.WaterPitReadings,
            read=test_pit.read_water,
            work=test_pit.work_water,
            formulas=test_pit.FORMULAS,
            particle_findings=test_pit.water_particle_findings,
            both_fractions=True,
            volume_by="water",
        ),
        "stated_wet_density": Method(
            code="stated_wet_density",
            schema=1,
            title="Another method, wet density stated",
            standards=(),
            fields=stated_wet_density.FIELDS,
            readings_type=stated_wet_density.StatedWetDensityReadings,
            read=stated_wet_density.read,
            work=stated_wet_density.work,
            formulas=stated_wet_density.FORMULAS,
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
            formulas=transcribed.FORMULAS,
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
