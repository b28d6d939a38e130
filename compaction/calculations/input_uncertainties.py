"""Standard uncertainties of readings where nobody states better ones: data by kind of reading, replaced here or stated.

A half width is that of a rectangle (JCGM 100, clause 4.3.7): the standard uncertainty is the half width over the root
of three. Everything is from memory or common practice unless the row says "read".
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from compaction.calculations.precision import PRECISIONS
from compaction.calculations.quantities import to_si
from compaction.calculations.uncertainty import rectangular

_ZERO: Final = Decimal(0)
PRACTICE: Final = "common practice (no source)"


@dataclass(frozen=True)
class ReadingUncertainty:
    """The larger of `least` and `share_pct` percent of a reading, in its own unit: a half width, or as `standard`."""

    basis: str
    least: Decimal = _ZERO
    share_pct: Decimal = _ZERO
    standard: bool = False

    def of(self, value: Decimal) -> Decimal:
        """Standard uncertainty of a reading of this value."""
        width = max(self.least, abs(value) * self.share_pct / 100)
        return width if self.standard else rectangular(width)


def _of(basis: str, least: str = "0", share: str = "0", *, standard: bool = False) -> ReadingUncertainty:
    return ReadingUncertainty(basis, Decimal(least), Decimal(share), standard)


_SAND: Final = "ASTM D1556, annexes: repeats of sand and cone within 1 % (from memory)"
#: name of a reading, or the end of it -> uncertainty; names go before ends, longer ends before shorter ones
OF_READINGS: Final[Mapping[str, ReadingUncertainty]] = MappingProxyType(
    {
        "sand_bulk_density_kgm3": _of(_SAND, share="1"),
        "cone_and_plate_mass_kg": _of(_SAND, share="1"),
        "cone_and_plate_volume_m3": _of(_SAND, share="1"),
        "cone_mass_kg": _of(_SAND, share="1"),
        "cone_volume_m3": _of(_SAND, share="1"),
        "frame_sand_kg": _of(_SAND, share="1"),
        "offset_kgm3": _of("mean of ten comparisons, " + PRACTICE, "3", standard=True),
        "density_offset_kgm3": _of("mean of ten comparisons, " + PRACTICE, "5", standard=True),
        "offset_pct": _of("mean of ten comparisons, " + PRACTICE, "0.2", standard=True),
        "cylinder_volume_m3": _of("ASTM D2937, section on calibration: volume to 1 % (from memory)", share="1"),
        "_volume_m3": _of("balloon or meter: 5 cm3 or 1 %, " + PRACTICE, least="0.000005", share="1"),
        "_m3": _of("volume to 1 %, " + PRACTICE, least="0.000005", share="1"),
        "_kgm3": _of("density to 1 %, " + PRACTICE, share="1"),
        "_kg": _of(
            "ASTM D4753, general purpose balance: 0.1 % of the load, at least 1 g (from memory)", "0.001", "0.1"
        ),
        "_degc": _of("thermometer to 1 deg C, " + PRACTICE, least="1"),
        "_m": _of("caliper to 0.25 mm (ASTM D2937, from memory)", least="0.00025"),
        "_pct": _of("a percentage to one point, " + PRACTICE, least="1"),
    }
)
_GAUGE: Final = "ASTM D6938: single-operator scatter and calibration within 16 kg/m3 together (from memory)"
#: what a gauge displays, by its mode: (wet density, water per volume, water content in points)
OF_GAUGE: Final[Mapping[str, tuple[ReadingUncertainty, ReadingUncertainty, ReadingUncertainty]]] = MappingProxyType(
    {
        mode: (
            _of(_GAUGE, density, standard=True),
            _of(_GAUGE, "12", standard=True),
            _of(_GAUGE, "0.7", standard=True),
        )
        for mode, density in (("direct_transmission", "12"), ("backscatter", "20"), ("air_gap", "20"))
    }
)
_OVEN: Final = PRECISIONS[("water_content", "ASTM D2216", "")]
#: method of a determination -> uncertainty of a water content, points
OF_WATER_CONTENTS: Final[Mapping[str, ReadingUncertainty]] = MappingProxyType(
    {
        "oven": ReadingUncertainty(
            _OVEN.source + ", single operator (from memory)", share_pct=_OVEN.single_operator, standard=True
        ),
        "microwave": _of("ASTM D4643 against D2216, " + PRACTICE, "0.3", "4", standard=True),
        "direct_heat": _of("ASTM D4959 against D2216, " + PRACTICE, "0.4", "5", standard=True),
        "carbide": _of("AASHTO T 217 against T 265, " + PRACTICE, "0.5", "5", standard=True),
        "gauge": _of(_GAUGE, "0.7", standard=True),
        "stated": _of("method not known, " + PRACTICE, "0.5", "5", standard=True),
    }
)
#: figures of the laboratory and of the oversize
OF_MATERIAL: Final[Mapping[str, ReadingUncertainty]] = MappingProxyType(
    {
        "reference_maximum_dry_density_kgm3": ReadingUncertainty(
            "ASTM D698, triplicate tests, between laboratories: 0.6 to 1.4 lb/ft3 (from memory)",
            least=to_si(Decimal(1), "pcf"),
            standard=True,
        ),
        "reference_minimum_index_density_kgm3": _of("ASTM D4254, " + PRACTICE, share="1.5", standard=True),
        "reference_optimum_water_content_pct": _of(
            "ASTM D698, triplicate tests, between laboratories (from memory)", "0.5", standard=True
        ),
        "specific_gravity_measured": _of("ASTM D854, " + PRACTICE, "0.01", standard=True),
        "specific_gravity_assumed": _of("assumed, " + PRACTICE, "0.05", standard=True),
        "oversize_pct": _of("oversize of one hole, " + PRACTICE, "1", standard=True),
        "oversize_wet_mass_kg": OF_READINGS["_kg"],
        "oversize_bulk_specific_gravity": _of("ASTM C127, between laboratories (from memory)", "0.013", standard=True),
        "oversize_water_content_pct": _of(PRACTICE, "0.3", standard=True),
    }
)


def uncertainty_of_reading(name: str, value: Decimal) -> tuple[Decimal, str]:
    """Standard uncertainty of a reading by its name with unit (SI), and what that rests on.

    Raises `KeyError` for a name that ends in no unit of the table. Source: the row's basis.

    >>> standard, basis = uncertainty_of_reading("sand_bulk_density_kgm3", Decimal(1400))
    >>> round(standard, 2), basis[:10]
    (Decimal('8.08'), 'ASTM D1556')
    """
    row = OF_READINGS.get(name)
    if row is None:
        ends = [end for end in OF_READINGS if end.startswith("_") and name.endswith(end)]
        row = OF_READINGS[max(ends, key=len)] if ends else OF_READINGS[name]
    return row.of(value), row.basis
