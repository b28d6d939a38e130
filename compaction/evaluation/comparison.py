"""The material in place against its reference: oversize correction, percent compaction, deviation, saturation."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations import density, oversize, plausibility, zero_air_voids
from compaction.calculations.errors import CalculationError
from compaction.calculations.oversize_practices import OVERSIZE_LIMITS
from compaction.evaluation import rapid, relative
from compaction.evaluation.material import oversize_water_content_pct
from compaction.evaluation.work import NO_CRITERION, PENDING_OVERSIZE, Work
from compaction.facts import Finding, ReferenceFacts

_COMPARED: Final = ("percent_compaction", "water_content_deviation")
_VOIDS: Final = ("saturation", "air_voids")
_HUNDRED: Final = Decimal(100)


@dataclass
class Compared:
    """The four figures that are compared, all of the same fraction of the soil (kg/m3, percent)."""

    dry_density_kgm3: Decimal | None
    maximum_dry_density_kgm3: Decimal
    water_content_pct: Decimal | None
    optimum_water_content_pct: Decimal
    corrected: str = ""  # "maximum", "field" or nothing


def work_out(work: Work) -> None:
    """Fill percent compaction, deviation from optimum, saturation and air voids, as far as they are known."""
    reference, own = work.inputs.reference, work.inputs.observation.rapid
    if own is not None:
        rapid.work_out(work, own)
    if reference is None:
        work.lacks(
            NO_CRITERION, "The test names no reference curve that the project has.", *_COMPARED, "relative_density"
        )
        work.lacks(NO_CRITERION, "Saturation needs a specific gravity, which comes with the reference.", *_VOIDS)
        return
    if reference.kind == relative.INDEX_DENSITY:
        relative.work_out(work, reference)
        _other_voids(work, reference)
        return
    relative.lacks_index_densities(work, reference)
    if own is not None:
        rapid.compare(work, reference)
    if own is not None or reference.maximum_dry_density_kgm3 <= 0:  # the latter: no one point on a family
        _other_voids(work, reference)
        return
    maximum = work.rounded("maximum", reference.maximum_dry_density_kgm3, "maximum_dry_density_kgm3")
    optimum = work.rounded("optimum", reference.optimum_water_content_pct, "optimum_water_content_pct")
    work.figures["reference_maximum_dry_density_kgm3"] = maximum
    if optimum > 0:
        work.figures["reference_optimum_water_content_pct"] = optimum
    compared = Compared(work.figures.get("dry_density_kgm3"), maximum, work.figures.get("water_content_pct"), optimum)
    ready = _correct(work, reference, compared)
    if ready:
        _percent_and_deviation(work, compared)
    if work.figures.get("dry_density_kgm3") is not None:
        _voids(work, reference, compared if ready else None)


def _other_voids(work: Work, reference: ReferenceFacts) -> None:
    """Saturation and voids of the whole material where percent compaction stands on no curve."""
    if work.figures.get("dry_density_kgm3") is not None:
        whole = Compared(None, Decimal(0), None, Decimal(0))
        _voids(work, reference, whole)


def _correct(work: Work, reference: ReferenceFacts, compared: Compared) -> bool:
    """Bring both sides to one fraction. False where that cannot be done, with the reason in `missing`."""
    percent, practice = work.oversize_pct, reference.oversize_practice
    if reference.oversize_rule == "none":
        _remark_uncorrected(work, reference)
        return True
    if percent is None:
        work.lacks(
            PENDING_OVERSIZE,
            f"The reference {reference.code} is corrected for oversize; the oversize on the "
            f"{oversize.SIEVE_NAMES[reference.control_sieve]} sieve is awaited.",
            *_COMPARED,
        )
        return False
    try:
        if not oversize.correction_applies(oversize_pct=percent, sieve=reference.control_sieve, practice=practice):
            limits = OVERSIZE_LIMITS[practice][reference.control_sieve]
            note = f"no correction is made up to {limits.minimum_pct} % ({limits.source})"
            work.sheet.add("oversize-below-limit", result_name="oversize_pct", result=percent, note=note)
            return True
        if work.oversize_gravity is None:
            work.lacks(
                PENDING_OVERSIZE,
                "The bulk specific gravity of the oversize is awaited; enter it with the test or the reference.",
                *_COMPARED,
            )
            return False
        if reference.oversize_rule == "correct_maximum":
            _correct_maximum(work, compared, percent, work.oversize_gravity)
        else:
            _correct_field(work, compared, percent, work.oversize_gravity)
    except CalculationError as error:
        work.note(error)
        work.lacks(
            NO_CRITERION,
            f"{error.sentence} The method does not hold here; an engineer decides.",
            *_COMPARED,
        )
        return False
    return True


def _remark_uncorrected(work: Work, reference: ReferenceFacts) -> None:
    percent = work.oversize_pct
    stated = work.inputs.observation.oversize
    if percent is None or stated is None:
        return
    limits = OVERSIZE_LIMITS[reference.oversize_practice].get(stated.sieve)
    if limits is None or percent <= limits.minimum_pct:
        return
    work.findings.append(
        Finding(
            "oversize-not-corrected",
            "validity",
            f"Oversize of {plausibility.percent_text(percent)} was found, above {limits.minimum_pct} %, but the "
            f"reference {reference.code} has no oversize rule: field and laboratory figures are of different "
            "material. Give the reference an oversize rule.",
            {"oversize_pct": f"{percent:.1f}", "limit_pct": str(limits.minimum_pct)},
        )
    )


def _correct_maximum(work: Work, compared: Compared, percent: Decimal, gravity: Decimal) -> None:
    maximum = oversize.corrected_maximum_dry_density_kgm3(
        maximum_dry_density_kgm3=compared.maximum_dry_density_kgm3,
        oversize_pct=percent,
        bulk_specific_gravity=gravity,
        water_density_kgm3=work.water_density_kgm3,
        sheet=work.sheet,
    )
    optimum = oversize.corrected_optimum_pct(
        optimum_water_content_pct=compared.optimum_water_content_pct,
        oversize_pct=percent,
        oversize_water_content_pct=oversize_water_content_pct(work),
        sheet=work.sheet,
    )
    compared.maximum_dry_density_kgm3 = work.rounded("corrected_maximum", maximum, "maximum_dry_density_kgm3")
    compared.optimum_water_content_pct = work.rounded("corrected_optimum", optimum, "optimum_water_content_pct")
    compared.corrected = "maximum"


def _correct_field(work: Work, compared: Compared, percent: Decimal, gravity: Decimal) -> None:
    compared.corrected = "field"
    if work.water_fraction == "control":
        compared.water_content_pct = work.water_content_pct
    elif compared.water_content_pct is not None:
        compared.water_content_pct = oversize.field_control_fraction_water_content_pct(
            total_water_content_pct=compared.water_content_pct,
            oversize_water_content_pct=oversize_water_content_pct(work),
            oversize_pct=percent,
            sheet=work.sheet,
        )
    if work.dry_density_unrounded_kgm3 is not None:
        # From the unrounded density: the rule rounds the figure that is compared, once.
        dry = oversize.field_control_fraction_dry_density_kgm3(
            total_dry_density_kgm3=work.dry_density_unrounded_kgm3,
            oversize_pct=percent,
            bulk_specific_gravity=gravity,
            water_density_kgm3=work.water_density_kgm3,
            sheet=work.sheet,
        )
        compared.dry_density_kgm3 = work.rounded("dry_density", dry, "control_fraction_dry_density_kgm3")
        work.figures["control_fraction_dry_density_kgm3"] = compared.dry_density_kgm3


def _percent_and_deviation(work: Work, compared: Compared) -> None:
    work.figures["maximum_dry_density_kgm3"] = compared.maximum_dry_density_kgm3
    if compared.optimum_water_content_pct > 0:
        work.figures["optimum_water_content_pct"] = compared.optimum_water_content_pct
    else:
        work.lacks(NO_CRITERION, "The reference has no optimum water content.", "water_content_deviation")
    if compared.dry_density_kgm3 is not None:
        try:
            percent = density.percent_compaction(
                dry_density_kgm3=compared.dry_density_kgm3,
                maximum_dry_density_kgm3=compared.maximum_dry_density_kgm3,
                sheet=work.sheet,
            )
        except CalculationError as error:
            work.note(error)
            work.lacks(NO_CRITERION, f"Not worked out: {error.sentence}", "percent_compaction")
        else:
            work.figures["percent_compaction"] = percent
            work.figures["percent_compaction_judged"] = work.rounded(
                "percent_compaction", percent, "percent_compaction_judged"
            )
    if compared.water_content_pct is not None and compared.optimum_water_content_pct > 0:
        deviation = compared.water_content_pct - compared.optimum_water_content_pct
        work.figures["water_content_deviation_pct"] = deviation
        if work.sheet.keeps:
            work.sheet.add(
                "water-content-deviation",
                result_name="water_content_deviation_pct",
                result=deviation,
                water_content_pct=compared.water_content_pct,
                optimum_water_content_pct=compared.optimum_water_content_pct,
            )


def _voids(work: Work, reference: ReferenceFacts, compared: Compared | None) -> None:
    """Saturation and air voids of the fraction that the specific gravity belongs to; without one, nothing is said."""
    gravity = reference.specific_gravity
    if gravity is None or gravity <= 0:
        work.lacks(NO_CRITERION, f"The reference {reference.code} has no specific gravity.", *_VOIDS)
        return
    if compared is None and (work.oversize_pct is None or work.oversize_gravity is None):
        work.lacks(PENDING_OVERSIZE, "The oversize is awaited; the solids of the whole material depend on it.", *_VOIDS)
        return
    dry: Decimal | None = work.dry_density_unrounded_kgm3
    water = work.figures.get("water_content_pct")
    if compared is not None and compared.corrected == "field":
        dry, water = compared.dry_density_kgm3, compared.water_content_pct
    elif work.oversize_pct and work.oversize_gravity is not None and 0 < work.oversize_pct < _HUNDRED:
        gravity = _whole_specific_gravity(work, gravity, work.oversize_pct, work.oversize_gravity)
    if dry is None or water is None:
        return
    try:
        saturation = zero_air_voids.saturation_pct(
            dry_density_kgm3=dry,
            water_content_pct=water,
            specific_gravity=gravity,
            water_density_kgm3=work.water_density_kgm3,
            sheet=work.sheet,
        )
        air_voids = zero_air_voids.air_voids_pct(
            dry_density_kgm3=dry,
            water_content_pct=water,
            specific_gravity=gravity,
            water_density_kgm3=work.water_density_kgm3,
            sheet=work.sheet,
        )
        ratio = zero_air_voids.void_ratio(
            dry_density_kgm3=dry,
            specific_gravity=gravity,
            water_density_kgm3=work.water_density_kgm3,
            sheet=work.sheet,
        )
    except CalculationError as error:
        _note_impossible_voids(work, error, reference.specific_gravity_measured)
        work.lacks(NO_CRITERION, f"Not worked out: {error.sentence}", *_VOIDS)
        return
    work.figures["saturation_pct"] = saturation
    work.figures["air_voids_pct"] = air_voids
    work.figures["void_ratio"] = ratio
    work.figures["specific_gravity"] = gravity
    specification = work.inputs.specification
    tolerance = Decimal(2) if specification is None else specification.saturation_tolerance_pct
    work.findings.extend(
        plausibility.saturation_findings(
            saturation_pct=saturation,
            tolerance_pct=tolerance,
            specific_gravity=gravity,
            measured=reference.specific_gravity_measured,
        )
    )


def _whole_specific_gravity(work: Work, control: Decimal, percent: Decimal, oversize_gravity: Decimal) -> Decimal:
    """Specific gravity of the whole: volumes of solids add up. Source: phase relations."""
    if oversize_gravity <= 0:
        return control
    whole = _HUNDRED / ((_HUNDRED - percent) / control + percent / oversize_gravity)
    if work.sheet.keeps:
        work.sheet.add(
            "specific-gravity-of-whole",
            result_name="specific_gravity",
            result=whole,
            control_specific_gravity=control,
            oversize_specific_gravity=oversize_gravity,
            oversize_pct=percent,
        )
    return whole


def _note_impossible_voids(work: Work, error: CalculationError, measured: bool) -> None:
    """Denser than its solids: impossible with a measured specific gravity, a doubt about it where it was assumed."""
    work.note(error)
    if not measured:
        held = work.findings.pop()
        work.findings.append(Finding(held.code, "validity", held.sentence, held.numbers))
