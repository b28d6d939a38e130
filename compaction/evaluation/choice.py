"""Which reference governs a test, and what the one point says of that choice (AASHTO T 272, R 75).

Where the test names a family of curves, the curve through its one point is its reference. Where it names a curve, the
one point only says whether that choice holds. A reference that has run out is remarked, whatever it is.
"""

from dataclasses import replace
from decimal import Decimal
from typing import Final

from compaction.calculations import family_of_curves, plausibility, precision
from compaction.calculations.density import dry_density_kgm3
from compaction.calculations.errors import CalculationError
from compaction.calculations.family_of_curves import OnePoint
from compaction.evaluation.work import NO_CRITERION, PENDING_OVEN, Work
from compaction.facts import EvaluationInputs, Finding, OnePointReading, ReferenceFacts

FAMILY: Final = "family"
_COMPARED: Final = ("percent_compaction", "water_content_deviation", "saturation", "air_voids")
#: A curve that lies further from the one point's than two results of one operator is remarked (AASHTO T 99).
_STANDARD: Final = "AASHTO T 99"
_HUNDRED: Final = Decimal(100)


def expired(inputs: EvaluationInputs) -> bool:
    """Whether the reference had run out on the day of the test (its own offset)."""
    reference = inputs.reference
    if reference is None or reference.valid_until is None:
        return False
    return inputs.observation.performed_at.date() > reference.valid_until


def settle(work: Work) -> None:
    """Put the reference that governs in place of the one that is named, with the findings on its choice."""
    _remark_expired(work)
    reference, given = work.inputs.reference, work.inputs.observation.reference_choice
    if reference is not None and reference.kind == FAMILY:
        _settle_on_family(work, reference, given)
    elif given is not None:
        _look_at_choice(work, reference, given)


def _remark_expired(work: Work) -> None:
    reference = work.inputs.reference
    if reference is None or reference.valid_until is None or not expired(work.inputs):
        return
    made, until = work.inputs.observation.performed_at.date().isoformat(), reference.valid_until.isoformat()
    work.findings.append(
        Finding(
            "reference-expired",
            "validity",
            f"The reference {reference.code} held until {until}; the test is of {made}. Make a new one, or enter a "
            "revision with the later day and its reason.",
            {"reference": reference.code, "valid_until": until},
        )
    )


def _settle_on_family(work: Work, reference: ReferenceFacts, given: OnePointReading | None) -> None:
    if given is None:
        work.findings.append(
            Finding(
                "one-point-missing",
                "validity",
                f"The reference {reference.code} is a family of curves; without a one-point test it gives no maximum. "
                "Compact one point and enter it, or name one curve of the family.",
                {"reference": reference.code},
            )
        )
        work.lacks(PENDING_OVEN, f"The one point on the family {reference.code} is awaited.", *_COMPARED)
        return
    found = _one_point(work, given)
    if found is None:
        work.lacks(
            NO_CRITERION,
            f"The one point gives no maximum within the family {reference.code}; the findings say why.",
            *_COMPARED,
        )
        return
    members = {member.code: member for member in work.inputs.family}
    between = [members[code] for code in (found.lower_curve, found.upper_curve)]
    work.inputs = replace(
        work.inputs,
        reference=replace(
            reference,
            maximum_dry_density_kgm3=found.maximum_dry_density_kgm3,
            optimum_water_content_pct=found.optimum_water_content_pct,
            approved=reference.approved and all(member.approved for member in between),
        ),
    )


def _look_at_choice(work: Work, reference: ReferenceFacts | None, given: OnePointReading) -> None:
    if given.family and not work.inputs.family:
        work.findings.append(
            Finding(
                "family-unknown",
                "validity",
                f"The project has no family of curves {given.family} for this day. Enter it, or correct the code.",
                {"family": given.family},
            )
        )
    elif given.family:
        found = _one_point(work, given)
        if found is not None and reference is not None:
            _compare(work, reference, found)
    elif reference is not None and reference.optimum_water_content_pct > 0:
        _on_one_curve(work, reference, given)


def _one_point(work: Work, given: OnePointReading) -> OnePoint | None:
    """The one point within the family, on the worksheet; None where it holds nothing, with the finding why."""
    try:
        dry = _dry_density_kgm3(work, given)
        found = family_of_curves.one_point(
            work.inputs.family, water_content_pct=given.water_content_pct, dry_density_kgm3=dry
        )
    except CalculationError as error:
        work.note(error)
        return None
    note = f"on {found.on_curve}" if found.on_curve else f"between {found.lower_curve} and {found.upper_curve}"
    work.sheet.add(
        "one-point-maximum",
        result_name="one_point_maximum_dry_density_kgm3",
        result=found.maximum_dry_density_kgm3,
        note=note,
        one_point_water_content_pct=given.water_content_pct,
        one_point_dry_density_kgm3=dry,
    )
    work.sheet.add(
        "one-point-optimum",
        result_name="one_point_optimum_water_content_pct",
        result=found.optimum_water_content_pct,
        note=note,
        one_point_water_content_pct=given.water_content_pct,
        percent_of_optimum_pct=found.percent_of_optimum,
    )
    work.figures["one_point_maximum_dry_density_kgm3"] = found.maximum_dry_density_kgm3
    work.figures["one_point_optimum_water_content_pct"] = found.optimum_water_content_pct
    work.figures["one_point_of_optimum_pct"] = found.percent_of_optimum
    return found


def _dry_density_kgm3(work: Work, given: OnePointReading) -> Decimal:
    dry = dry_density_kgm3(wet_density_kgm3=given.wet_density_kgm3, water_content_pct=given.water_content_pct)
    work.sheet.add(
        "dry-density",
        result_name="one_point_dry_density_kgm3",
        result=dry,
        one_point_wet_density_kgm3=given.wet_density_kgm3,
        one_point_water_content_pct=given.water_content_pct,
    )
    return dry


def _compare(work: Work, reference: ReferenceFacts, found: OnePoint) -> None:
    apart = abs(found.maximum_dry_density_kgm3 - reference.maximum_dry_density_kgm3)
    mean = (found.maximum_dry_density_kgm3 + reference.maximum_dry_density_kgm3) / 2
    allowed = precision.allowed_difference("maximum_dry_density", standard=_STANDARD, mean=mean, same_operator=True)
    if apart <= allowed:
        return
    work.findings.append(
        Finding(
            "one-point-disagrees",
            "validity",
            f"The one point indicates a maximum of {plausibility.density_text(found.maximum_dry_density_kgm3)}; the "
            f"reference {reference.code} has {plausibility.density_text(reference.maximum_dry_density_kgm3)}. More "
            "than two results of one operator lie apart (AASHTO T 99). Check which curve this soil belongs to.",
            {"one_point_kgm3": f"{found.maximum_dry_density_kgm3:.1f}", "reference": reference.code},
        )
    )


def _on_one_curve(work: Work, reference: ReferenceFacts, given: OnePointReading) -> None:
    """One point against one curve: within the window, and on the dry limb as far as two results may lie apart."""
    try:
        dry = _dry_density_kgm3(work, given)
    except CalculationError as error:
        work.note(error)
        return
    share = _HUNDRED * given.water_content_pct / reference.optimum_water_content_pct
    work.figures["one_point_of_optimum_pct"] = share
    low, high = family_of_curves.WINDOW_PCT
    if not low <= share <= high:
        work.findings.append(
            Finding(
                "one-point-outside-window",
                "validity",
                f"The one point lies at {share:.0f} % of the optimum of {reference.code}; {low} to {high} % is wanted "
                "(AASHTO T 272). Compact another specimen nearer the optimum, dry of it.",
                {"percent_of_optimum": f"{share:.1f}"},
            )
        )
        return
    try:
        on_limb = family_of_curves.dry_limb_density_kgm3(reference, water_content_pct=given.water_content_pct)
    except CalculationError:
        return  # without points on its dry limb a curve can't be followed; nothing speaks against the choice
    allowed = precision.allowed_difference("maximum_dry_density", standard=_STANDARD, mean=on_limb, same_operator=True)
    if abs(dry - on_limb) > allowed:
        work.findings.append(
            Finding(
                "one-point-off-curve",
                "validity",
                f"At {plausibility.percent_text(given.water_content_pct)} the curve {reference.code} has "
                f"{plausibility.density_text(on_limb)}; the one point has {plausibility.density_text(dry)}. This soil "
                "may belong to another curve: use the family, or make a full curve (AASHTO T 272).",
                {"one_point_kgm3": f"{dry:.1f}", "curve_kgm3": f"{on_limb:.1f}"},
            )
        )
