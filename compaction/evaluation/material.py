"""The material in place: wet density, the water content that counts, oversize, dry density."""

from decimal import Decimal
from typing import Final

from compaction.calculations import density, methods, moisture, oversize
from compaction.calculations.errors import CalculationError
from compaction.calculations.worksheet import NO_SHEET
from compaction.evaluation import gauge
from compaction.evaluation.work import ALL_QUANTITIES, NO_CRITERION, PENDING_OVEN, PENDING_OVERSIZE, Work
from compaction.facts import Finding, WaterContentReading

#: The oven before any field method, what the crew adds before what the instrument shows (common practice).
_RANK: Final = {"oven": 0, "microwave": 1, "direct_heat": 1, "carbide": 1, "stated": 2, "gauge": 3}
#: AASHTO T 99 and T 180, annex on oversize (from memory): where it is not known, 2 % may be assumed.
ASSUMED_OVERSIZE_WATER_PCT: Final = Decimal(2)
_NEEDS_OVERSIZE: Final = ("correct_maximum", "correct_field")


def work_out(work: Work) -> None:
    """Fill the figures of the material in place; what cannot be worked out is said in `missing` and `findings`."""
    try:
        work.in_place = methods.METHODS[work.inputs.observation.method].work(gauge.readings_of(work.inputs), work.sheet)
    except CalculationError as error:
        work.note(error)
        work.lacks(NO_CRITERION, f"Not worked out: {error.sentence}", *ALL_QUANTITIES)
        return
    work.findings.extend(work.in_place.findings)
    work.figures.update(gauge.correction_figures(work.inputs))
    if work.in_place.hole_volume_m3 is not None:
        work.figures["hole_volume_m3"] = work.in_place.hole_volume_m3
    if work.in_place.wet_density_kgm3 is not None:
        wet = work.in_place.wet_density_kgm3
        work.figures["wet_density_kgm3"] = work.rounded("wet_density", wet, "wet_density_kgm3")
    _choose_water_content(work)
    _find_oversize(work)
    total_pct = _total_water_content(work)
    if total_pct is not None:
        total_pct = work.rounded("water_content", total_pct, "water_content_pct")
        work.figures["water_content_pct"] = total_pct
    _dry_density(work, total_pct)


def _choose_water_content(work: Work) -> None:
    known: list[tuple[tuple[int, bool, int], WaterContentReading, Decimal]] = []
    readings = (*work.in_place.water_contents, *work.inputs.observation.water_contents)
    for place, reading in enumerate(readings):
        if reading.fraction == "oversize":
            continue
        try:
            percent = moisture.water_content_pct(reading, NO_SHEET)
        except CalculationError as error:
            work.note(error)
            continue
        known.append(((_RANK[reading.method], reading.fraction != "total", -place), reading, percent))
    if not known:
        return
    if len(known) > 1:
        known.sort(key=lambda one: one[0])
    used, percent = known[0][1:]
    if used.water_content_pct is None:
        moisture.water_content_pct(used, work.sheet)  # again, for the lines on the worksheet
    work.determinations = [(reading.method, reading.fraction, value) for _, reading, value in known]
    work.water_method, work.water_fraction, work.water_content_pct = used.method, used.fraction, percent
    if work.sheet.keeps:
        work.sheet.add(
            "water-content-used",
            result_name=f"{used.fraction}_water_content_pct",
            result=percent,
            note=f"{used.method}, {used.fraction}",
        )


def _find_oversize(work: Work) -> None:
    """Oversize percentage, as far as it is known, into `work`; a finding where what was sent cannot be used."""
    reference, stated = work.inputs.reference, work.inputs.observation.oversize
    if stated is None:
        if reference is not None and reference.oversize_rule in _NEEDS_OVERSIZE:
            work.oversize_pct = reference.standing_oversize_pct
    elif (
        reference is not None and reference.oversize_rule in _NEEDS_OVERSIZE and stated.sieve != reference.control_sieve
    ):
        work.findings.append(
            Finding(
                "oversize-sieve-differs",
                "validity",
                f"Oversize was taken on the sieve {oversize.SIEVE_NAMES[stated.sieve]}, the reference {reference.code} "
                f"was made on material passing {oversize.SIEVE_NAMES[reference.control_sieve]}. Screen on that sieve.",
                {"sieve": stated.sieve, "control_sieve": reference.control_sieve},
            )
        )
        return
    elif stated.basis == "none":
        work.oversize_pct = Decimal(0)
    elif stated.oversize_pct is not None:
        work.oversize_pct = stated.oversize_pct
    elif stated.oversize_wet_mass_kg is not None:
        _oversize_from_masses(work, stated.oversize_wet_mass_kg)
    if work.oversize_pct is not None:
        work.figures["oversize_pct"] = work.oversize_pct
    if stated is not None and stated.bulk_specific_gravity is not None:
        work.oversize_gravity = stated.bulk_specific_gravity
    elif reference is not None:
        work.oversize_gravity = reference.oversize_bulk_specific_gravity


def _oversize_from_masses(work: Work, oversize_wet_mass_kg: Decimal) -> None:
    whole_kg = work.in_place.soil_wet_mass_kg
    if whole_kg is None:
        work.findings.append(
            Finding(
                "oversize-mass-without-whole",
                "validity",
                "Oversize is given as a mass, but this method weighs no soil. State it in percent of the dry mass.",
            )
        )
        return
    if work.water_content_pct is None:
        return
    control = work.water_content_pct if work.water_fraction == "control" else None
    total = work.water_content_pct if work.water_fraction == "total" else None
    try:
        work.oversize_pct = oversize.oversize_pct_from_masses(
            total_wet_mass_kg=whole_kg,
            oversize_wet_mass_kg=oversize_wet_mass_kg,
            oversize_water_content_pct=oversize_water_content_pct(work),
            control_water_content_pct=control,
            total_water_content_pct=total,
            sheet=work.sheet,
        )
    except CalculationError as error:
        work.note(error)


def oversize_water_content_pct(work: Work) -> Decimal:
    """Water content of the oversize, percent: as reported, else determined, else of the reference, else assumed."""
    if "oversize_water_content_pct" in work.figures:
        return work.figures["oversize_water_content_pct"]
    value = _known_oversize_water(work)
    if value is None:
        value = ASSUMED_OVERSIZE_WATER_PCT
        work.findings.append(
            Finding(
                "oversize-water-content-assumed",
                "information",
                f"The water content of the oversize is not known; {value} % is assumed (AASHTO T 99 and T 180, annex "
                "on oversize). Determine it, or enter it with the reference.",
                {"assumed_pct": str(value)},
            )
        )
    work.figures["oversize_water_content_pct"] = value
    return value


def _known_oversize_water(work: Work) -> Decimal | None:
    stated, reference = work.inputs.observation.oversize, work.inputs.reference
    if stated is not None and stated.water_content_pct is not None:
        return stated.water_content_pct
    determined = [one for one in work.inputs.observation.water_contents if one.fraction == "oversize"]
    if determined:
        best = min(enumerate(determined), key=lambda one: (_RANK[one[1].method], -one[0]))[1]
        try:
            return moisture.water_content_pct(best, work.sheet)
        except CalculationError as error:
            work.note(error)
    return None if reference is None else reference.oversize_water_content_pct


def _total_water_content(work: Work) -> Decimal | None:
    """Water content of the whole material, percent, converted where that of the control fraction was determined."""
    percent = work.water_content_pct
    if percent is None or work.water_fraction == "total":
        return percent
    if work.oversize_pct is None:
        work.lacks(
            PENDING_OVERSIZE,
            "The water content is that of the control fraction; the oversize is needed to get that of the whole.",
            *ALL_QUANTITIES,
        )
        return None
    try:
        return oversize.total_water_content_pct(
            control_pct=percent,
            oversize_water_pct=oversize_water_content_pct(work),
            oversize_pct=work.oversize_pct,
            sheet=work.sheet,
        )
    except CalculationError as error:
        work.note(error)
        work.lacks(NO_CRITERION, f"Not worked out: {error.sentence}", *ALL_QUANTITIES)
        return None


def _dry_density(work: Work, total_pct: Decimal | None) -> None:
    """Dry density of the whole: as the instrument or sheet has it with its own water content, else from wet density."""
    wet = work.figures.get("wet_density_kgm3")
    own = work.in_place.dry_density_kgm3
    untouched = total_pct == work.water_content_pct and wet == work.in_place.wet_density_kgm3
    try:
        if own is not None and (wet is None or (work.water_method in ("gauge", "stated", "") and untouched)):
            dry = own
        elif wet is not None and total_pct is not None:
            dry = density.dry_density_kgm3(
                wet_density_kgm3=wet,
                water_content_pct=total_pct,
                sheet=work.sheet,
                step=methods.METHODS[work.inputs.observation.method].dry_density_step,
            )
        else:
            work.lacks(PENDING_OVEN, "The water content is awaited; the dry density follows from it.", *ALL_QUANTITIES)
            return
    except CalculationError as error:
        work.note(error)
        work.lacks(NO_CRITERION, f"Not worked out: {error.sentence}", *ALL_QUANTITIES)
        return
    work.dry_density_unrounded_kgm3 = dry
    work.figures["dry_density_unrounded_kgm3"] = dry
    work.figures["dry_density_kgm3"] = work.rounded("dry_density", dry, "dry_density_kgm3")
    if total_pct is None:
        work.lacks(
            PENDING_OVEN,
            "The water content is awaited.",
            "water_content",
            "water_content_deviation",
            "saturation",
            "air_voids",
        )
