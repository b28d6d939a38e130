"""The lines of a sand-cone sheet, each worked from the readings and compared with its print.

Every line states what it needs, how it is worked, and the slips known for it. A line is worked twice: from the
readings alone, and from the figures printed above it, which shows a rounded intermediate figure or an error carried on.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.density import dry_density_kgm3, percent_compaction
from compaction.calculations.errors import CalculationError
from compaction.calculations.moisture import from_masses
from compaction.calculations.sheet_check import Explanation, PrintedFigure, agrees, check_figure, truncates
from compaction.calculations.zero_air_voids import zero_air_voids_dry_density_kgm3
from compaction.facts import Finding

Figures = Mapping[str, Decimal]

#: No mineral soil is heavier than this; beyond it the figure cannot be saved by another specific gravity.
HIGHEST_SPECIFIC_GRAVITY: Final = Decimal("3.0")
#: Wet densities outside this range are not soil or aggregate, kg/m3 (common practice, no source).
PLAUSIBLE_WET_DENSITY_KGM3: Final = (Decimal(1200), Decimal(2700))

#: What some line divides by: a zero there, read or printed, works no line; that it cannot be is said by the method.
_DIVISORS: Final = frozenset(
    {"water_density", "container_volume", "sand_bulk_density", "hole_volume", "sand_out", "maximum_dry_density"}
)


@dataclass(frozen=True)
class Slip:
    """A known slip: finding code, how the figure comes out with it, and the end of the sentence."""

    code: str
    needs: tuple[str, ...]
    work: Callable[[Figures], Decimal]
    sentence: str


@dataclass(frozen=True)
class Line:
    """One figure of the sheet. Of several lines with one name the first whose needs are met is used."""

    name: str
    needs: tuple[str, ...]
    work: Callable[[Figures], Decimal]
    slips: tuple[Slip, ...] = ()


def _other_mass(name: str, words: str) -> Slip:
    return Slip(
        "other-mass-used",
        (name, "hole_volume"),
        lambda f: f[name] / f["hole_volume"],
        f"with the {words} in place of the soil from the hole",
    )


LINES: Final[tuple[Line, ...]] = (
    Line(
        "container_volume",
        ("water_mass", "water_density"),
        lambda f: f["water_mass"] / f["water_density"],
        (
            Slip(
                "multiplied-instead-of-divided",
                ("water_mass", "water_density"),
                lambda f: f["water_mass"] * f["water_density"],
                "when the mass of water is multiplied by its density instead of divided by it",
            ),
        ),
    ),
    Line("sand_mass", ("sand_full", "sand_empty"), lambda f: f["sand_full"] - f["sand_empty"]),
    Line("sand_bulk_density", ("sand_mass", "container_volume"), lambda f: f["sand_mass"] / f["container_volume"]),
    Line("cone_mass", ("cone_before", "cone_after"), lambda f: f["cone_before"] - f["cone_after"]),
    Line("cone_volume", ("cone_mass", "sand_bulk_density"), lambda f: f["cone_mass"] / f["sand_bulk_density"]),
    Line("sand_out", ("mass_before", "mass_after"), lambda f: f["mass_before"] - f["mass_after"]),
    Line("sand_in_hole", ("sand_out", "cone_mass"), lambda f: f["sand_out"] - f["cone_mass"]),
    Line(
        "sand_in_hole",
        ("sand_out", "cone_volume", "sand_bulk_density"),
        lambda f: f["sand_out"] - f["cone_volume"] * f["sand_bulk_density"],
    ),
    Line(
        "hole_volume",
        ("sand_in_hole", "sand_bulk_density"),
        lambda f: f["sand_in_hole"] / f["sand_bulk_density"],
        (
            Slip(
                "cone-not-subtracted",
                ("sand_out", "sand_bulk_density"),
                lambda f: f["sand_out"] / f["sand_bulk_density"],
                "when the sand in cone and plate is not subtracted",
            ),
        ),
    ),
    Line(
        "water_content",
        ("can_wet", "can_dry", "can"),
        lambda f: from_masses(wet_and_can_kg=f["can_wet"], dry_and_can_kg=f["can_dry"], can_kg=f["can"]),
    ),
    Line(
        "water_content",
        ("soil_wet_mass", "soil_dry_mass"),
        lambda f: from_masses(wet_and_can_kg=f["soil_wet_mass"], dry_and_can_kg=f["soil_dry_mass"], can_kg=Decimal(0)),
    ),
    Line(
        "wet_density",
        ("soil_wet_mass", "hole_volume"),
        lambda f: f["soil_wet_mass"] / f["hole_volume"],
        (
            Slip(
                "cone-not-subtracted",
                ("soil_wet_mass", "sand_out", "sand_bulk_density"),
                lambda f: f["soil_wet_mass"] * f["sand_bulk_density"] / f["sand_out"],
                "when the sand in cone and plate is not subtracted",
            ),
            _other_mass("can_water", "mass of water in the can"),
            _other_mass("can_dry_soil", "dry soil in the can"),
            _other_mass("can_wet", "moist soil with its can"),
            _other_mass("sand_in_hole", "sand in the hole"),
            _other_mass("sand_out", "sand run out"),
        ),
    ),
    Line(
        "dry_density",
        ("wet_density", "water_content"),
        lambda f: dry_density_kgm3(wet_density_kgm3=f["wet_density"], water_content_pct=f["water_content"]),
        (
            Slip(
                "water-content-wet-basis-used-as-dry",
                ("wet_density", "water_content"),
                lambda f: f["wet_density"] * (100 - f["water_content"]) / 100,
                "when the water content is taken as percent of the wet mass instead of the dry mass",
            ),
            Slip(
                "wet-density-given-as-dry", ("wet_density",), lambda f: f["wet_density"], "without taking the water off"
            ),
        ),
    ),
    Line(
        "percent_compaction",
        ("dry_density", "maximum_dry_density"),
        lambda f: percent_compaction(
            dry_density_kgm3=f["dry_density"], maximum_dry_density_kgm3=f["maximum_dry_density"]
        ),
        (
            Slip(
                "wet-density-used-for-percent",
                ("wet_density", "maximum_dry_density"),
                lambda f: 100 * f["wet_density"] / f["maximum_dry_density"],
                "with the wet density in place of the dry one",
            ),
        ),
    ),
)


def worked_figures(readings: Figures) -> dict[str, Decimal]:
    """Every figure of the sheet that its readings (SI, by name) give, beside the readings themselves.

    Raises `CalculationError` for readings that cannot be. Source: ASTM D1556 section on calculation (from memory).

    >>> figures = worked_figures({"sand_in_hole": Decimal("2.82"), "sand_bulk_density": Decimal(1700),
    ...     "soil_wet_mass": Decimal("2.86"), "water_content": Decimal("9.5")})
    >>> round(figures["dry_density"], 1)
    Decimal('1574.5')
    """
    return _worked(readings, {})


def check_density_sheet(readings: Figures, printed: Sequence[PrintedFigure]) -> tuple[Finding, ...]:
    """Findings on the printed figures of a sand-cone sheet, line by line, and on what cannot be.

    Beside those of `sheet_check.check_figure`: "intermediate-rounding" (an earlier figure of the sheet, printed
    rounded, was used), "follows-earlier-error" (an earlier figure that differs was used), "wet-density-implausible",
    "above-zero-air-voids". Readings in SI by name (`LINES`). Raises `CalculationError` for readings that cannot be.
    Source: ASTM D1556 section on calculation (from memory).

    >>> from compaction.calculations.sheet_check import printed_figure
    >>> readings = {"sand_in_hole": Decimal("2.82"), "sand_bulk_density": Decimal(1700),
    ...     "soil_wet_mass": Decimal("2.86"), "water_content": Decimal("9.5")}
    >>> [finding.code for finding in check_density_sheet(readings, [printed_figure("dry_density", "1.56 g/cm3")])]
    ['printed-figure-differs', 'water-content-wet-basis-used-as-dry']
    """
    worked = worked_figures(readings)
    by_name = {figure.name: figure for figure in printed}
    findings: list[Finding] = []
    wrong: set[str] = set()
    for name in dict.fromkeys(line.name for line in LINES):
        figure = by_name.get(name)
        if figure is None:
            continue
        above = {other.name: other.value_si for other in printed if other.name != name}
        try:
            as_printed = _worked(readings, above)
        except CalculationError:
            as_printed = worked  # a printed figure that cannot be explains no other
        explanations = _explanations(name, worked, as_printed, bool(wrong & above.keys()))
        found = check_figure(figure, worked.get(name), explanations)
        findings.extend(found)
        if figure.name not in worked or not (
            agrees(figure, worked[figure.name]) or truncates(figure, worked[figure.name])
        ):
            wrong.add(name)
    findings.extend(_plausibility(worked, by_name))
    return tuple(findings)


def _worked(readings: Figures, printed: Figures) -> dict[str, Decimal]:
    """Figures in the order of the sheet; a printed one takes the place of the worked one where there is one."""
    figures = dict(readings)
    if "can_wet" in figures and "can_dry" in figures and "can" in figures:
        figures["can_water"] = figures["can_wet"] - figures["can_dry"]
        figures["can_dry_soil"] = figures["can_dry"] - figures["can"]
    for line in LINES:
        if line.name in printed:
            figures[line.name] = printed[line.name]
        elif line.name not in figures and _met(line.needs, figures):
            figures[line.name] = line.work(figures)
    return figures


def _explanations(name: str, worked: Figures, as_printed: Figures, after_an_error: bool) -> list[Explanation]:
    line = next((line for line in LINES if line.name == name and _met(line.needs, as_printed)), None)
    line = line or next(line for line in LINES if line.name == name)
    explanations = [_explanation(slip, worked) for slip in line.slips if _met(slip.needs, worked)]
    # The same figure again would explain nothing: no figure printed above it was used.
    if _met(line.needs, as_printed) and line.work(as_printed) != worked.get(name):
        explanations.append(
            Explanation(
                "follows-earlier-error" if after_an_error else "intermediate-rounding",
                line.work(as_printed),
                "from a figure printed above it that is wrong itself"
                if after_an_error
                else "from an intermediate figure rounded before it was used",
            )
        )
    explanations.extend(_explanation(slip, as_printed) for slip in line.slips if _met(slip.needs, as_printed))
    return explanations


def _explanation(slip: Slip, figures: Figures) -> Explanation:
    return Explanation(slip.code, slip.work(figures), slip.sentence)


def _met(needs: tuple[str, ...], figures: Figures) -> bool:
    return all(need in figures and not (need in _DIVISORS and figures[need] == 0) for need in needs)


def _plausibility(worked: Figures, printed: Mapping[str, PrintedFigure]) -> list[Finding]:
    """What no soil can be, asked of the printed figures as they stand."""
    findings = []
    low, high = PLAUSIBLE_WET_DENSITY_KGM3
    wet = printed["wet_density"].value_si if "wet_density" in printed else worked.get("wet_density")
    if wet is not None and not low <= wet <= high:
        findings.append(
            Finding(
                code="wet-density-implausible",
                severity="hold",
                sentence=f"A wet density of {wet:.1f} kg/m3 is no soil or aggregate; usual is {low} to {high} kg/m3. "
                "Check masses, volume and units.",
                numbers={"wet_density_kgm3": f"{wet:.1f}"},
            )
        )
    dry = printed["dry_density"].value_si if "dry_density" in printed else worked.get("dry_density")
    water = printed["water_content"].value_si if "water_content" in printed else worked.get("water_content")
    if dry is None or water is None or water < 0:
        return findings
    try:
        limit = zero_air_voids_dry_density_kgm3(
            water_content_pct=water, specific_gravity=HIGHEST_SPECIFIC_GRAVITY, water_density_kgm3=Decimal(1000)
        )
    except CalculationError:
        return findings
    if dry > limit:
        findings.append(
            Finding(
                code="above-zero-air-voids",
                severity="hold",
                sentence=f"A dry density of {dry:.1f} kg/m3 at {water:.1f} % water lies above the zero-air-voids line "
                f"({limit:.1f} kg/m3) even for a specific gravity of {HIGHEST_SPECIFIC_GRAVITY}: it cannot be.",
                numbers={"dry_density_kgm3": f"{dry:.1f}", "limit_kgm3": f"{limit:.1f}"},
            )
        )
    return findings
