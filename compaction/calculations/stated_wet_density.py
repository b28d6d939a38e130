"""A wet density by any method that has no module here, with the uncertainty that its source states for it.

The figure is taken as stated. Without an uncertainty a reviewer cannot weigh it, so that it is never left out.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ImpossibleReading
from compaction.calculations.formula import Formula
from compaction.calculations.in_place import InPlace
from compaction.calculations.quantities import from_si
from compaction.calculations.readings import Field, Values
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.facts import Finding

#: A standard uncertainty above this share of the density, percent, is two points of percent compaction either way: it
#: cannot carry a verdict near a limit (common practice, no source).
LARGE_UNCERTAINTY_PCT: Final = Decimal(2)

FORMULAS = (
    Formula(
        "stated-wet-density",
        "Wet density as stated, with its uncertainty",
        "rho = stated",
        "common practice (no source)",
    ),
)

FIELDS = (
    Field("by", "text", True, "Method or instrument"),
    Field("wet_density", "density", True, "Wet density"),
    Field("standard_uncertainty", "density", True, "Standard uncertainty of the wet density (one standard deviation)"),
)


@dataclass(frozen=True)
class StatedWetDensityReadings:
    """A wet density with its standard uncertainty, kg/m3, and what it was determined by."""

    by: str
    wet_density_kgm3: Decimal
    standard_uncertainty_kgm3: Decimal


def read(values: Values) -> StatedWetDensityReadings:
    """Readings from the values of `FIELDS`. Source: common practice (no source).

    >>> from compaction.calculations.methods import read_readings
    >>> written = {"by": "electrical gauge", "wet_density": "2000 kg/m3", "standard_uncertainty": "20 kg/m3"}
    >>> read_readings("stated_wet_density", 1, written).standard_uncertainty_kgm3
    Decimal('20')
    """
    return StatedWetDensityReadings(
        by=values.text("by"),
        wet_density_kgm3=values.decimal("wet_density"),
        standard_uncertainty_kgm3=values.decimal("standard_uncertainty"),
    )


def work(readings: StatedWetDensityReadings, sheet: Worksheet = NO_SHEET) -> InPlace:
    """The stated wet density; the dry density needs a water content from elsewhere.

    Raises `ImpossibleReading` for a density or an uncertainty that is not above zero, or an uncertainty as large as the
    density. Source: common practice (no source); standard uncertainty as in JCGM 100, clause 2.3.1 (from memory).

    >>> result = work(StatedWetDensityReadings("electrical gauge", Decimal(2000), Decimal(50)))
    >>> [finding.code for finding in result.findings]
    ['wet-density-stated', 'uncertainty-large']
    """
    wet_kgm3, uncertainty_kgm3 = readings.wet_density_kgm3, readings.standard_uncertainty_kgm3
    if wet_kgm3 <= 0:
        raise ImpossibleReading(
            "wet-density-not-positive",
            f"Wet density is {wet_kgm3:.1f} kg/m3; it must be greater than zero. Check the reading.",
            value=wet_kgm3,
            limit=Decimal(0),
            unit="kg/m3",
        )
    if not 0 < uncertainty_kgm3 < wet_kgm3:
        raise ImpossibleReading(
            "uncertainty-impossible",
            f"A standard uncertainty of {uncertainty_kgm3:.1f} kg/m3 does not lie between zero and the wet density of "
            f"{wet_kgm3:.1f} kg/m3. Take it from the method's precision statement or from repeated readings.",
            value=uncertainty_kgm3,
            limit=wet_kgm3,
            unit="kg/m3",
        )
    sheet.add(
        "stated-wet-density",
        result_name="wet_density_kgm3",
        result=wet_kgm3,
        stated_kgm3=wet_kgm3,
        standard_uncertainty_kgm3=uncertainty_kgm3,
    )
    return InPlace(wet_density_kgm3=wet_kgm3, findings=tuple(_findings(readings)))


def _findings(readings: StatedWetDensityReadings) -> list[Finding]:
    wet_kgm3, uncertainty_kgm3 = readings.wet_density_kgm3, readings.standard_uncertainty_kgm3
    share_pct = 100 * uncertainty_kgm3 / wet_kgm3
    numbers = {"standard_uncertainty_kgm3": f"{uncertainty_kgm3:.1f}", "share_pct": f"{share_pct:.2f}"}
    findings = [
        Finding(
            code="wet-density-stated",
            severity="information",
            sentence=f"The wet density is stated by {readings.by or 'a method not named'} with a standard uncertainty "
            f"of {uncertainty_kgm3:.1f} kg/m3 ({from_si(uncertainty_kgm3, 'pcf'):.1f} pcf), {share_pct:.1f} % of it; "
            "it was not worked out here.",
            numbers=numbers,
        )
    ]
    if share_pct > LARGE_UNCERTAINTY_PCT:
        findings.append(
            Finding(
                code="uncertainty-large",
                severity="validity",
                sentence=f"A standard uncertainty of {share_pct:.1f} % of the wet density is above "
                f"{LARGE_UNCERTAINTY_PCT} %: a result near the limit says nothing. Confirm it by another method.",
                numbers=numbers,
            )
        )
    return findings
