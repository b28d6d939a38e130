"""Index densities of clean sand and gravel, and the relative density between them.

Relative density is no percent compaction: at the minimum index density a sand has some 83 % of its maximum and a
relative density of zero. The two never share a field.
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ImpossibleReading, NotEnoughReadings
from compaction.calculations.sheet_check import Explanation, PrintedFigure, check_figure
from compaction.calculations.worksheet import NO_SHEET, Worksheet
from compaction.calculations.zero_air_voids import void_ratio
from compaction.facts import Finding

_HUNDRED: Final = Decimal(100)
#: Trials of one index density further apart than this share of their mean are repeated, percent. ASTM D4254, section
#: on procedure (from memory).
TRIALS_APART_PCT: Final = Decimal(1)


def index_density_kgm3(*, dry_mass_kg: Decimal, mould_volume_m3: Decimal, sheet: Worksheet = NO_SHEET) -> Decimal:
    """Index density of one trial: dry soil in the mould over the volume it fills, kg/m3. Validity: both above zero.

    For the maximum the volume is that of the mould less what the surcharge plate sank. Raises `ImpossibleReading`.
    Source: ASTM D4253 and D4254, sections on calculation (from memory).

    >>> index_density_kgm3(dry_mass_kg=Decimal("4.5"), mould_volume_m3=Decimal("0.0025"))
    Decimal('1.8E+3')
    """
    for value, words, unit in ((dry_mass_kg, "mass of dry soil", "kg"), (mould_volume_m3, "volume", "m3")):
        if value <= 0:
            raise ImpossibleReading(
                "impossible-mass",
                f"The {words} is {value:.4f} {unit}; it must be greater than zero. Check the reading.",
                value=value,
                limit=Decimal(0),
                unit=unit,
            )
    result = dry_mass_kg / mould_volume_m3
    sheet.add(
        "index-density",
        result_name="index_density_kgm3",
        result=result,
        dry_mass_kg=dry_mass_kg,
        mould_volume_m3=mould_volume_m3,
    )
    return result


def mean_index_density_kgm3(trials_kgm3: Sequence[Decimal]) -> tuple[Decimal, tuple[Finding, ...]]:
    """Mean of the trials of one index density, kg/m3, with "index-trials-differ" where they are too far apart.

    Raises `NotEnoughReadings` without a trial. Source: ASTM D4254, section on procedure (from memory).

    >>> mean, findings = mean_index_density_kgm3([Decimal(1500), Decimal(1506), Decimal(1524)])
    >>> mean, [finding.code for finding in findings]
    (Decimal('1510'), ['index-trials-differ'])
    """
    if not trials_kgm3:
        raise NotEnoughReadings("no-trials", "No trial of the index density is given.", missing=("trials",))
    mean = sum(trials_kgm3, Decimal(0)) / len(trials_kgm3)
    apart_pct = _HUNDRED * (max(trials_kgm3) - min(trials_kgm3)) / mean
    if apart_pct <= TRIALS_APART_PCT:
        return mean, ()
    return mean, (
        Finding(
            code="index-trials-differ",
            severity="validity",
            sentence=f"The trials lie {apart_pct:.1f} % of their mean apart, above {TRIALS_APART_PCT} % (ASTM D4254). "
            "Repeat until consecutive trials agree.",
            numbers={"apart_pct": f"{apart_pct:.2f}"},
        ),
    )


def relative_density_pct(
    *,
    dry_density_kgm3: Decimal,
    minimum_index_density_kgm3: Decimal,
    maximum_index_density_kgm3: Decimal,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Relative density from densities: 100 (d - dmin) dmax / ((dmax - dmin) d), percent; all three dry, kg/m3.

    Below zero or above 100 % where the soil is looser or denser than its index densities: see
    `relative_density_findings`. Validity: 0 < minimum < maximum, dry density above zero. Raises `ImpossibleReading`.
    Source: ASTM D4254, section on calculation (from memory).

    >>> round(relative_density_pct(dry_density_kgm3=Decimal(1600), minimum_index_density_kgm3=Decimal(1400),
    ...     maximum_index_density_kgm3=Decimal(1750)), 1)
    Decimal('62.5')
    """
    _check_ends(
        low=minimum_index_density_kgm3, high=maximum_index_density_kgm3, words="index density", unit="kg/m3", least=0
    )
    if dry_density_kgm3 <= 0:
        raise ImpossibleReading(
            "dry-density-not-positive",
            f"Dry density is {dry_density_kgm3:.1f} kg/m3; it must be greater than zero. Check the readings.",
            value=dry_density_kgm3,
            limit=Decimal(0),
            unit="kg/m3",
        )
    spread = maximum_index_density_kgm3 - minimum_index_density_kgm3
    result = (
        _HUNDRED
        * (dry_density_kgm3 - minimum_index_density_kgm3)
        * maximum_index_density_kgm3
        / (spread * dry_density_kgm3)
    )
    sheet.add(
        "relative-density",
        result_name="relative_density_pct",
        result=result,
        dry_density_kgm3=dry_density_kgm3,
        minimum_index_density_kgm3=minimum_index_density_kgm3,
        maximum_index_density_kgm3=maximum_index_density_kgm3,
    )
    return result


def relative_density_from_void_ratios_pct(
    *,
    void_ratio: Decimal,
    maximum_void_ratio: Decimal,
    minimum_void_ratio: Decimal,
    sheet: Worksheet = NO_SHEET,
) -> Decimal:
    """Relative density from void ratios: 100 (emax - e) / (emax - emin), percent. The loosest has the largest.

    Validity: 0 <= emin < emax, e above zero. Raises `ImpossibleReading`. Source: ASTM D4254, section on calculation
    (from memory).

    >>> relative_density_from_void_ratios_pct(void_ratio=Decimal("0.5"), maximum_void_ratio=Decimal("0.75"),
    ...     minimum_void_ratio=Decimal("0.35"))
    Decimal('62.5')
    """
    _check_ends(low=minimum_void_ratio, high=maximum_void_ratio, words="void ratio", unit="", least=-1)
    if void_ratio <= 0:
        raise ImpossibleReading(
            "void-ratio-not-positive",
            f"Void ratio is {void_ratio:.3f}; it must be greater than zero. Check density and specific gravity.",
            value=void_ratio,
            limit=Decimal(0),
        )
    result = _HUNDRED * (maximum_void_ratio - void_ratio) / (maximum_void_ratio - minimum_void_ratio)
    sheet.add(
        "relative-density-from-void-ratios",
        result_name="relative_density_pct",
        result=result,
        void_ratio=void_ratio,
        maximum_void_ratio=maximum_void_ratio,
        minimum_void_ratio=minimum_void_ratio,
    )
    return result


def _check_ends(*, low: Decimal, high: Decimal, words: str, unit: str, least: int) -> None:
    if least < low < high:
        return
    shown = f" {unit}" if unit else ""
    raise ImpossibleReading(
        "index-ends-exchanged",
        f"The minimum {words} is {low}{shown} and the maximum {high}{shown}; the minimum must be the smaller and not "
        "below zero. Check whether the two were exchanged.",
        value=low,
        limit=high,
        unit=unit,
    )


def dry_density_at_relative_density_kgm3(
    *, relative_density_pct: Decimal, minimum_index_density_kgm3: Decimal, maximum_index_density_kgm3: Decimal
) -> Decimal:
    """Dry density at a relative density, kg/m3: the inverse of `relative_density_pct`.

    Validity: as there. Raises `ImpossibleReading`.
    Source: ASTM D4254, section on calculation, solved for the density (from memory).

    >>> dry_density_at_relative_density_kgm3(relative_density_pct=Decimal("62.5"),
    ...     minimum_index_density_kgm3=Decimal(1400), maximum_index_density_kgm3=Decimal(1750))
    Decimal('1.60E+3')
    """
    _check_ends(
        low=minimum_index_density_kgm3, high=maximum_index_density_kgm3, words="index density", unit="kg/m3", least=0
    )
    spread = maximum_index_density_kgm3 - minimum_index_density_kgm3
    below = _HUNDRED * maximum_index_density_kgm3 - relative_density_pct * spread
    if below <= 0:
        raise ImpossibleReading(
            "relative-density-beyond-solids",
            f"No dry density belongs to a relative density of {relative_density_pct:.1f} % of this soil.",
            value=relative_density_pct,
            limit=_HUNDRED * maximum_index_density_kgm3 / spread,
            unit="%",
        )
    return _HUNDRED * maximum_index_density_kgm3 * minimum_index_density_kgm3 / below


def relative_density_findings(*, relative_density_pct: Decimal) -> tuple[Finding, ...]:
    """A relative density (percent) outside 0 to 100: "looser-than-minimum-index", "denser-than-maximum-index", or none.

    Source: common practice (no source); the index densities are those of one apparatus, not bounds of nature.

    >>> [finding.code for finding in relative_density_findings(relative_density_pct=Decimal("-3"))]
    ['looser-than-minimum-index']
    """
    if 0 <= relative_density_pct <= _HUNDRED:
        return ()
    looser = relative_density_pct < 0
    end = "below that of the minimum" if looser else "above that of the maximum"
    return (
        Finding(
            code="looser-than-minimum-index" if looser else "denser-than-maximum-index",
            severity="validity",
            sentence=f"A relative density of {relative_density_pct:.1f} % means a density {end} index density. Check "
            "whether the index densities are those of this soil, and whether all three densities are dry.",
            numbers={"relative_density_pct": f"{relative_density_pct:.2f}"},
        ),
    )


def printed_relative_density_findings(
    printed: PrintedFigure,
    *,
    wet_density_kgm3: Decimal,
    water_content_pct: Decimal,
    specific_gravity: Decimal,
    water_density_kgm3: Decimal,
    maximum_void_ratio: Decimal,
    minimum_void_ratio: Decimal,
) -> tuple[Finding, ...]:
    """Findings on a printed relative density worked from a moist density; names the moist density taken as dry.

    Codes as `sheet_check.check_figure` and "wet-density-used-as-dry". Raises `ImpossibleReading`. Source: phase
    relations, ASTM D7263; ASTM D4254, section on calculation (from memory).

    >>> from compaction.calculations.sheet_check import printed_figure
    >>> [finding.code for finding in printed_relative_density_findings(printed_figure("relative_density", "73.3 %"),
    ...     wet_density_kgm3=Decimal("1794.4"), water_content_pct=Decimal(12), specific_gravity=Decimal("2.68"),
    ...     water_density_kgm3=Decimal(1000), maximum_void_ratio=Decimal("0.75"), minimum_void_ratio=Decimal("0.4"))]
    ['printed-figure-differs', 'wet-density-used-as-dry']
    """

    def worked(density_kgm3: Decimal) -> Decimal:
        return relative_density_from_void_ratios_pct(
            void_ratio=void_ratio(
                dry_density_kgm3=density_kgm3, specific_gravity=specific_gravity, water_density_kgm3=water_density_kgm3
            ),
            maximum_void_ratio=maximum_void_ratio,
            minimum_void_ratio=minimum_void_ratio,
        )

    trap = Explanation("wet-density-used-as-dry", worked(wet_density_kgm3), "with the moist density taken as dry")
    return check_figure(printed, worked(wet_density_kgm3 * _HUNDRED / (_HUNDRED + water_content_pct)), [trap])
