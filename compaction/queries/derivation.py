"""From what was written to what follows from it, under a set-up: the one path for every purpose.

Posting, amending, previewing, reassessing and checking a rebuild all call `derive`; it reads no table
and no clock.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any

from compaction import evaluation, observation
from compaction.calculations import criteria
from compaction.facts import EvaluationInputs, Finding, Observation, Outcome, PositionFacts
from compaction.queries.set_up import SetUp
from projects import canonical
from projects.geometry import positions
from projects.geometry.stated import Located

LATE_AFTER = timedelta(hours=24)
AHEAD_BY = timedelta(minutes=5)
TOO_OLD = timedelta(days=3653)
COLUMN_STEP = Decimal("0.001")
#: quantities whose margin stands alone in a list
PLAIN_MARGINS = ("percent_compaction", "water_content_deviation", "water_content", "air_voids", "saturation")


@dataclass(frozen=True)
class Derived:
    observation: Observation
    located: Located
    position_content: str
    geometry_digest: str
    outcome: Outcome
    outcome_content: str
    outcome_digest: str
    reference: str
    specification: str


def derive(content: Mapping[str, Any], *, set_up: SetUp, received_at: datetime, worksheet: bool = True) -> Derived:
    """Position and outcome of a record. Raises `observation.ContentError` if the record can't be read.

    `received_at` is when the test first arrived: an amendment weeks later does not make it a late entry. Without the
    worksheet there is no content to store; results and digests are the same.
    """
    [derived] = derive_all([(content, received_at)], set_up=set_up, worksheet=worksheet)
    return derived


def derive_all(
    records: Iterable[tuple[Mapping[str, Any], datetime]], *, set_up: SetUp, worksheet: bool = True
) -> list[Derived]:
    """The same of many records under one set-up, each with when it first arrived."""
    arrived: list[datetime] = []
    read: list[tuple[EvaluationInputs, Located]] = []
    for content, received_at in records:
        arrived.append(received_at)
        read.append(gathered(content, set_up=set_up))
    outcomes = evaluation.evaluate_all((inputs for inputs, _ in read), worksheet=worksheet)
    return [
        _derived(inputs, located, outcome, set_up=set_up, received_at=received_at, worksheet=worksheet)
        for (inputs, located), outcome, received_at in zip(read, outcomes, arrived, strict=True)
    ]


def _derived(
    inputs: EvaluationInputs,
    located: Located,
    outcome: Outcome,
    *,
    set_up: SetUp,
    received_at: datetime,
    worksheet: bool,
) -> Derived:
    observed, reference, specification = inputs.observation, inputs.reference, inputs.specification
    performed_at = observed.performed_at
    outcome = replace(outcome, findings=(*outcome.findings, *clock_findings(performed_at, received_at)))
    return Derived(
        observation=observed,
        located=located,
        position_content=position_text(located),
        geometry_digest=set_up.geometry_digest(performed_at),
        outcome=outcome,
        outcome_content=canonical.text(evaluation.to_plain(outcome)) if worksheet else "",
        outcome_digest=evaluation.digest(outcome),
        reference=f"{reference.code} rev {reference.rev}" if reference else "",
        specification=f"{specification.code} rev {specification.rev}" if specification else "",
    )


def gathered(content: Mapping[str, Any], *, set_up: SetUp) -> tuple[EvaluationInputs, Located]:
    """What an evaluation of a record looks at, and its place. Raises `observation.ContentError`."""
    observed = observation.read(content)
    performed_at = observed.performed_at
    located = placed(content, performed_at=performed_at, lift=observed.lift, set_up=set_up)
    facts = facts_of(located)
    reference = set_up.reference(observed.reference_code, performed_at) if observed.reference_code else None
    specification = set_up.specification(facts.zone, performed_at)
    choice = observed.reference_choice
    inputs = EvaluationInputs(
        observation=observed,
        position=facts,
        reference=reference,
        specification=specification,
        sibling_references=set_up.siblings(observed.reference_code, performed_at),
        apparatus=tuple(facts for records in set_up.apparatus.values() for facts in records),
        technician_on_roster=set_up.on_roster(observed.technician, performed_at) if observed.technician else None,
        gauge_corrections=set_up.gauge_corrections_for(observed),
        standard_counts=set_up.instruments.counts,
        certificates=set_up.instruments.certificates,
        family=set_up.family(
            observed.reference_code if choice is None or not choice.family else choice.family, performed_at
        ),
    )
    return inputs, located


def placed(content: Mapping[str, Any], *, performed_at: datetime, lift: int | None, set_up: SetUp) -> Located:
    """Where a record says its test is, on the geometry in force then. Raises `observation.ContentError`."""
    return positions.locate(
        observation.read_position(content),
        alignments=set_up.alignments_at(performed_at),
        areas=[(entry.code, entry.kind, entry.geometry) for entry in set_up.areas_at(performed_at)],
        epsg_code=set_up.epsg_code,
        station_digits=set_up.station_digits,
        lift=lift,
    )


def facts_of(located: Located) -> PositionFacts:
    """What an evaluation gets of a place."""
    return PositionFacts(
        alignment=located.alignment,
        station_m=located.station_m,
        offset_m=located.offset_m,
        easting_m=located.easting_m,
        northing_m=located.northing_m,
        elevation_m=located.elevation_m,
        depth_below_grade_m=located.depth_below_grade_m,
        zone=located.zone,
        exempt=located.exempt,
        findings=tuple(
            Finding(code, severity, sentence, numbers) for code, severity, sentence, numbers in located.findings
        ),
    )


def position_text(located: Located) -> str:
    """What is stored of a place, as canonical text."""
    return canonical.text({**_columns(located), "findings": [list(item) for item in located.findings]})


def _columns(located: Located) -> dict[str, Any]:
    """What is stored of a position; surfaces of the fill only where the design or the ground is known."""
    left_out = {"findings"} if located.in_fill else {"findings", "in_fill"}
    return {name: value for name, value in vars(located).items() if name not in left_out}


def clock_findings(performed_at: datetime, received_at: datetime) -> tuple[Finding, ...]:
    """What the two clocks say: entered late, or made after it arrived (then a person has to look)."""
    if performed_at - received_at > AHEAD_BY:
        return (
            Finding(
                "made-in-the-future",
                "hold",
                "The time of the test lies more than five minutes after its arrival; check the clock of the device.",
            ),
        )
    if received_at - performed_at > TOO_OLD:
        return (Finding("made-ten-years-ago", "hold", "The time of the test lies more than ten years back."),)
    if received_at - performed_at > LATE_AFTER:
        return (Finding("entered-late", "information", "It arrived more than a day after the test was made."),)
    return ()


def head_values(derived: Derived, *, released: frozenset[str] = frozenset()) -> dict[str, Any]:
    """The columns of the test's one mutable row that follow from the current version."""
    observed, outcome, located = derived.observation, derived.outcome, derived.located
    density = next((item for item in outcome.criteria if item.quantity == "percent_compaction"), None)
    relative = next((item for item in outcome.criteria if item.quantity == "relative_density"), None)
    by_kind = results_by_kind(outcome)
    return {
        "label": observed.label,
        "performed_at": observed.performed_at,
        "method": observed.method,
        "purpose": observed.purpose,
        "technician": observed.technician,
        "reference_code": observed.reference_code,
        "retest_of": observed.retest_of or None,
        "check_of": observed.check_of or None,
        "inputs_digest": outcome.inputs_digest,
        "outcome_digest": derived.outcome_digest,
        "result": outcome.result,
        "density_result": by_kind.get("density", ""),
        "moisture_result": by_kind.get("moisture", ""),
        "other_result": by_kind.get("other", ""),
        "basis": outcome.basis,
        "open_holds": " ".join(sorted({finding.code for finding in outcome.holds} - released)),
        "finding_codes": " ".join(sorted({finding.code for finding in outcome.findings})),
        "margin": margin_text(outcome),
        "percent_compaction": column(outcome.figures.get("percent_compaction")),
        "percent_compaction_judged": column(density.judged if density else None),
        "percent_compaction_minimum": column(density.minimum if density else None),
        "relative_density_pct": column(outcome.figures.get("relative_density_pct")),
        "relative_density_judged": column(relative.judged if relative else None),
        "relative_density_minimum": column(relative.minimum if relative else None),
        "dry_density_kgm3": column(outcome.figures.get("dry_density_kgm3")),
        "water_content_pct": column(outcome.figures.get("water_content_pct")),
        "water_content_deviation": column(outcome.figures.get("water_content_deviation_pct")),
        **place_values(located),
        "lift": observed.lift,
    }


def place_values(located: Located) -> dict[str, Any]:
    """The columns of the head that follow from the place alone."""
    return {
        "alignment": located.alignment,
        "station_text": located.station_text,
        "offset_text": located.offset_text,
        "station_m": within(located.station_m, 10**9),
        "offset_m": within(located.offset_m, 10**7),
        "easting_m": within(located.easting_m, 10**11),
        "northing_m": within(located.northing_m, 10**11),
        "longitude": located.longitude,
        "latitude": located.latitude,
        "elevation_m": within(located.elevation_m, 10**6),
        "depth_below_grade_m": within(located.depth_below_grade_m, 10**6),
        "zone": located.zone,
        "exempt": located.exempt,
    }


def column(value: Decimal | None) -> Decimal | None:
    """A figure as lists show and filter it; the outcome's text keeps all nine decimals.

    Figures beyond the column (only impossible readings give them) are left to the outcome's text.
    """
    if value is None or abs(value) >= 100_000:
        return None
    return value.quantize(COLUMN_STEP, rounding=ROUND_HALF_EVEN)


def within(value: Decimal | None, limit: int) -> Decimal | None:
    """A place as its column can keep it; one beyond (an impossible position) is left to the position's own text."""
    return None if value is None or abs(value) >= limit else value


def results_by_kind(outcome: Outcome) -> dict[str, str]:
    """The worst contractual result of each kind (density, moisture, other)."""
    order = ("fail", "pending_oven", "pending_oversize", "no_criterion", "pass")
    found: dict[str, str] = {}
    for item in outcome.criteria:
        if item.contractual:
            now = found.get(item.kind, "pass")
            found[item.kind] = min(now, item.result, key=order.index)
    return found


def failed_kinds(outcome: Outcome) -> frozenset[str]:
    return frozenset(kind for kind, result in results_by_kind(outcome).items() if result == "fail")


def margin_text(outcome: Outcome) -> str:
    """The criterion that decides, in one short line: "93.8 of 95, 1.2 short"."""
    judged = [item for item in outcome.criteria if item.contractual]
    failing = [item for item in judged if item.result == "fail"]
    if not judged:
        return ""
    chosen = (failing or judged)[0]
    said = criteria.summarise(
        judged=chosen.judged, minimum=chosen.minimum, maximum=chosen.maximum, margin=chosen.margin, unit=chosen.unit
    )
    # The two percentages must not be taken for one another where only this line is shown.
    named = "" if chosen.quantity in PLAIN_MARGINS else f"{criteria.QUANTITIES[chosen.quantity]} "
    return f"{named}{said}"[:80]
