"""The rapid method in an evaluation: percent compaction and deviation from three specimens of the fill itself.

The fill's wet density over the peak of converted wet density is percent compaction, without any water content (ASTM
D5080, section 5.1.2); only the deviation needs the fill's water content, for which an estimate serves until the oven's
value is there (section 5.1.3). Inside, wet of optimum is positive; the sheet's own sign is kept beside it.
"""

from decimal import Decimal
from typing import Final

from compaction.calculations import oversize, plausibility, rapid_method
from compaction.calculations.errors import CalculationError
from compaction.calculations.oversize_practices import DEFAULT_PRACTICE, OVERSIZE_LIMITS
from compaction.calculations.rapid_method import RapidPeak, RapidPoint
from compaction.evaluation.material import oversize_water_content_pct
from compaction.evaluation.work import NO_CRITERION, PENDING_OVEN, PENDING_OVERSIZE, Work
from compaction.facts import Finding, RapidReading, RapidSpecimen, ReferenceFacts

_COMPARED: Final = ("percent_compaction", "water_content_deviation")
_HUNDRED: Final = Decimal(100)
#: Percent compaction by the rapid method and by a reference mostly agree within this (Hong Kong GEO Report 373).
APART_PCT: Final = Decimal(3)
_SIGNS: Final = {
    "dry_positive": "as the sheet prints it: dry of optimum is positive",
    "wet_positive": "as the sheet prints it: wet of optimum is positive",
}


def work_out(work: Work, reading: RapidReading) -> None:
    """Fill percent compaction and the deviation from optimum; what is missing says why it is."""
    for quantity in _COMPARED:
        work.missing.pop(quantity, None)  # the oven is not what they wait for
    try:
        found = rapid_method.peak([_point(work, specimen) for specimen in reading.specimens], work.sheet)
    except CalculationError as error:
        work.note(error)
        work.lacks(NO_CRITERION, f"Not worked out: {error.sentence}", *_COMPARED)
        return
    work.findings.extend(found.findings)
    work.figures["rapid_peak_converted_wet_density_kgm3"] = found.converted_wet_density_kgm3
    work.figures["rapid_peak_added_water_pct"] = found.added_water_pct
    fill = _fill(work)
    if fill is None:
        return
    wet, water = fill
    try:
        percent = rapid_method.percent_compaction_pct(
            fill_wet_density_kgm3=wet,
            peak_converted_wet_density_kgm3=found.converted_wet_density_kgm3,
            sheet=work.sheet,
        )
    except CalculationError as error:
        work.note(error)
        work.lacks(NO_CRITERION, f"Not worked out: {error.sentence}", *_COMPARED)
        return
    work.figures["percent_compaction"] = percent
    work.figures["percent_compaction_judged"] = work.rounded("percent_compaction", percent, "percent_compaction_judged")
    _deviation(work, reading, found, water)


def _point(work: Work, specimen: RapidSpecimen) -> RapidPoint:
    wet, converted = specimen.wet_density_kgm3, specimen.converted_wet_density_kgm3
    if converted is not None:
        wet = converted * (_HUNDRED + specimen.added_water_pct) / _HUNDRED
    elif wet is None:
        assert specimen.soil_wet_mass_kg is not None
        assert specimen.mould_volume_m3 is not None
        wet = specimen.soil_wet_mass_kg / specimen.mould_volume_m3  # read as above zero
        work.sheet.add(
            "rapid-mould-wet-density",
            result_name="wet_density_kgm3",
            result=wet,
            soil_wet_mass_kg=specimen.soil_wet_mass_kg,
            mould_volume_m3=specimen.mould_volume_m3,
        )
    return RapidPoint(specimen.added_water_pct, wet)


def _fill(work: Work) -> tuple[Decimal, Decimal | None] | None:
    """Wet density and water content of the fill, of the fraction that the specimens were made of; None: awaited."""
    wet, water = work.figures.get("wet_density_kgm3"), work.figures.get("water_content_pct")
    if wet is None:
        work.lacks(NO_CRITERION, "The rapid method needs the wet density in place; this test has none.", *_COMPARED)
        return None
    stated, percent = work.inputs.observation.oversize, work.oversize_pct
    try:
        if stated is None or percent is None:
            return wet, water
        practice = _practice(work.inputs.reference, stated.sieve)
        if not oversize.correction_applies(oversize_pct=percent, sieve=stated.sieve, practice=practice):
            return wet, water
        if work.dry_density_unrounded_kgm3 is None or water is None:
            work.lacks(PENDING_OVEN, "The water content is awaited; the oversize is taken out with it.", *_COMPARED)
            return None
        if work.oversize_gravity is None:
            work.lacks(PENDING_OVERSIZE, "The bulk specific gravity of the oversize is awaited.", *_COMPARED)
            return None
        dry = oversize.field_control_fraction_dry_density_kgm3(
            total_dry_density_kgm3=work.dry_density_unrounded_kgm3,
            oversize_pct=percent,
            bulk_specific_gravity=work.oversize_gravity,
            water_density_kgm3=work.water_density_kgm3,
            sheet=work.sheet,
        )
        work.figures["control_fraction_dry_density_kgm3"] = dry
        if work.water_fraction == "control" and work.water_content_pct is not None:
            water = work.water_content_pct
        else:
            water = oversize.field_control_fraction_water_content_pct(
                total_water_content_pct=water,
                oversize_water_content_pct=oversize_water_content_pct(work),
                oversize_pct=percent,
                sheet=work.sheet,
            )
    except CalculationError as error:
        work.note(error)
        work.lacks(NO_CRITERION, f"{error.sentence} The method does not hold here; an engineer decides.", *_COMPARED)
        return None
    return dry * (_HUNDRED + water) / _HUNDRED, water


def _practice(reference: ReferenceFacts | None, sieve: str) -> str:
    """Whose limits of oversize hold: those of the reference named besides, where they have this sieve."""
    if reference is None or sieve not in OVERSIZE_LIMITS[reference.oversize_practice]:
        return DEFAULT_PRACTICE
    return reference.oversize_practice


def _deviation(work: Work, reading: RapidReading, found: RapidPeak, water: Decimal | None) -> None:
    at = water if water is not None else reading.estimated_water_content_pct
    if at is None:
        awaited = "The water content of the fill is awaited; an estimate serves."
        work.lacks(PENDING_OVEN, awaited, "water_content_deviation")
        return
    try:
        deviation = rapid_method.water_content_deviation_pct(
            peak_added_water_pct=found.added_water_pct, fill_water_content_pct=at, sheet=work.sheet
        )
    except CalculationError as error:
        work.note(error)
        work.lacks(NO_CRITERION, f"Not worked out: {error.sentence}", "water_content_deviation")
        return
    work.figures["water_content_deviation_pct"] = deviation
    printed = rapid_method.in_convention_pct(deviation, convention=reading.convention)
    work.figures["rapid_printed_deviation_pct"] = printed
    work.sheet.add(
        "rapid-printed-deviation",
        result_name="rapid_printed_deviation_pct",
        result=printed,
        note=_SIGNS[reading.convention] + ("; from an estimated water content" if water is None else ""),
        water_content_deviation_pct=deviation,
    )
    if water is None:
        return
    peak = found.converted_wet_density_kgm3
    maximum, optimum = peak * _HUNDRED / (_HUNDRED + water), water - deviation
    work.sheet.add(
        "rapid-maximum",
        result_name="maximum_dry_density_kgm3",
        result=maximum,
        water_content_pct=water,
        peak_converted_wet_density_kgm3=peak,
    )
    work.sheet.add(
        "rapid-optimum",
        result_name="optimum_water_content_pct",
        result=optimum,
        water_content_pct=water,
        water_content_deviation_pct=deviation,
    )
    work.figures["maximum_dry_density_kgm3"] = maximum
    work.figures["optimum_water_content_pct"] = optimum


def compare(work: Work, reference: ReferenceFacts) -> None:
    """Beside a named curve: percent compaction on it, where it differs by more than the two methods mostly do."""
    rapid, dry = work.figures.get("percent_compaction"), work.figures.get("dry_density_kgm3")
    if rapid is None or dry is None or work.oversize_pct:
        return
    if reference.kind != "moisture_density" or reference.maximum_dry_density_kgm3 <= 0:
        return
    on_curve = _HUNDRED * dry / reference.maximum_dry_density_kgm3
    if abs(on_curve - rapid) <= APART_PCT:
        return
    work.findings.append(
        Finding(
            "rapid-method-and-reference-differ",
            "validity",
            f"The rapid method gives {plausibility.percent_text(rapid)}, the reference {reference.code} "
            f"{plausibility.percent_text(on_curve)}; they mostly agree within {APART_PCT} points (Hong Kong GEO Report "
            "373). The fill's own specimens govern; check whether the reference is of this soil.",
            {"rapid_pct": f"{rapid:.2f}", "reference_pct": f"{on_curve:.2f}", "reference": reference.code},
        )
    )
