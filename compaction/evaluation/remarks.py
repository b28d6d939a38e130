"""Findings beside the result: hole and lift, curve, apparatus, people. Printed figures have a module of their own."""

from datetime import date
from typing import Final

from compaction.calculations import methods, plausibility, spot_observations
from compaction.calculations.nuclear_gauge import NuclearGaugeReadings
from compaction.evaluation import gauge, instruments, moisture_remarks, printed
from compaction.evaluation.per_object import PerObject
from compaction.evaluation.work import Work
from compaction.facts import EvaluationInputs, Finding, ReferenceFacts, SpecificationFacts

_LIMITS: Final = SpecificationFacts(code="", rev=0, approved=False, criteria=())  # where no specification says


def add(work: Work) -> None:
    """Add every remark that the figures and readings give rise to, in a fixed order."""
    _reference(work)
    _method(work)
    _result(work)
    work.findings.extend(plausibility.water_content_findings(work.determinations))
    printed.add(work)
    _seen_and_dried(work)
    _apparatus(work)
    work.findings.extend(instruments.findings(work.inputs))
    if work.inputs.technician_on_roster is False:
        work.findings.append(
            Finding(
                "technician-not-on-roster",
                "validity",
                "The technician is not on the roster of the project for this day. Add the person, or correct the name.",
            )
        )
    work.findings.extend(work.inputs.position.findings)


def _seen_and_dried(work: Work) -> None:
    """How the water contents were determined, and what was seen at the spot."""
    observation = work.inputs.observation
    moisture_remarks.add(work)
    if observation.spot:
        method = methods.METHODS[observation.method]
        work.findings.extend(spot_observations.spot_findings(observation.spot, volume_by=method.volume_by))


def _reference(work: Work) -> None:
    code = work.inputs.observation.reference_code
    if work.inputs.reference is not None:
        return
    if work.inputs.observation.rapid is not None and not code:
        return  # its own specimens are the reference
    if code:
        sentence = f"The project has no reference curve {code} for this day. Enter the curve, or correct the code."
        work.findings.append(Finding("reference-unknown", "validity", sentence, {"reference": code}))
    else:
        sentence = "The test names no reference curve. Name one; percent compaction follows from it."
        work.findings.append(Finding("reference-not-named", "validity", sentence))


def _method(work: Work) -> None:
    observation = work.inputs.observation
    readings, particle_mm = observation.readings, observation.maximum_particle_mm
    particle_findings = methods.METHODS[observation.method].particle_findings
    if particle_findings is not None and particle_mm is not None:
        work.findings.extend(
            particle_findings(
                readings,
                work.in_place,
                particle_mm,
                editions=moisture_remarks.editions_of(work.inputs),
                sheet=work.sheet,
            )
        )
    if isinstance(readings, NuclearGaugeReadings) and readings.depth_m is not None and observation.lift_thickness_m:
        work.findings.extend(
            plausibility.depth_findings(depth_m=readings.depth_m, lift_thickness_m=observation.lift_thickness_m)
        )
    gauge.remark(work)


def _result(work: Work) -> None:
    specification = work.inputs.specification or _LIMITS
    percent = work.figures.get("percent_compaction")
    if percent is not None:
        work.findings.extend(
            plausibility.percent_compaction_findings(
                percent=percent,
                review_above=specification.review_above_percent_compaction,
                hold_above=specification.hold_above_percent_compaction,
            )
        )
    reference = work.inputs.reference
    water, dry = work.figures.get("water_content_pct"), work.dry_density_unrounded_kgm3
    if water is not None and dry is not None and not _held_above_line(work):
        work.findings.extend(
            plausibility.any_mineral_findings(
                dry_density_kgm3=dry,
                water_content_pct=water,
                water_density_kgm3=work.water_density_kgm3,
                specific_gravity=None if reference is None else reference.specific_gravity,
            )
        )
    # With oversize in it the whole material does not belong on the curve of the control fraction.
    if reference is not None and reference.points and water is not None and dry is not None and not work.oversize_pct:
        work.findings.extend(
            plausibility.curve_findings(
                water_content_pct=water,
                dry_density_kgm3=dry,
                optimum_water_content_pct=reference.optimum_water_content_pct,
                limb=_limb(reference),
            )
        )


def _held_above_line(work: Work) -> bool:
    return any(one.code == "above-zero-air-voids" and one.severity == "hold" for one in work.findings)


@PerObject
def _limb(reference: ReferenceFacts) -> plausibility.Limb:
    return plausibility.limb(reference.points)


def named_apparatus(inputs: EvaluationInputs) -> tuple[tuple[str, str], ...]:
    """(kind, serial) of everything the test names, the gauge of the readings included, each once."""
    named = dict.fromkeys(sorted(inputs.observation.apparatus.items()) if inputs.observation.apparatus else ())
    readings = inputs.observation.readings
    if isinstance(readings, NuclearGaugeReadings) and readings.serial:
        named[("gauge", readings.serial)] = None
    return tuple(named)


def apparatus_state(inputs: EvaluationInputs, *, serial: str) -> tuple[str, date | None]:
    """ "in_date", "out_of_date" or "not_registered" on the day of the test (its own offset), and until when it was."""
    day = inputs.observation.performed_at.date()
    ended: list[date | None] = []
    for record in inputs.apparatus:
        if record.serial != serial:
            continue
        if record.valid_from <= day and (record.valid_until is None or day <= record.valid_until):
            return "in_date", None
        ended.append(record.valid_until)
    if not ended:
        return "not_registered", None
    return "out_of_date", max(filter(None, ended), default=None)


def _apparatus(work: Work) -> None:
    named = named_apparatus(work.inputs)
    if not named:
        return
    gauges = sorted({serial for kind, serial in named if kind == "gauge"}) if len(named) > 1 else ()
    if len(gauges) > 1:
        work.findings.append(
            Finding(
                "gauge-serials-differ",
                "validity",
                f"Two gauges are named, {' and '.join(gauges)}. Correct the serial number.",
                {"serials": ", ".join(gauges)},
            )
        )
    for kind, serial in named:
        state, until = apparatus_state(work.inputs, serial=serial)
        if state == "in_date":
            continue
        words = kind.replace("_", " ")
        if state == "not_registered":
            work.findings.append(
                Finding(
                    "gauge-not-registered" if kind == "gauge" else "apparatus-not-registered",
                    "validity",
                    f"The {words} {serial} is not among the registered apparatus. Register it, or correct the number.",
                    {"serial": serial},
                )
            )
        elif state == "out_of_date" and not instruments.is_sand(work.inputs, serial):
            when = "was not in date" if until is None else f"was in date until {until.isoformat()}"
            work.findings.append(
                Finding(
                    "apparatus-out-of-date",
                    "validity",
                    f"The {words} {serial} {when}; the test is of "
                    f"{work.inputs.observation.performed_at.date().isoformat()}. Calibrate it or enter the proof.",
                    {"serial": serial} if until is None else {"serial": serial, "valid_until": until.isoformat()},
                )
            )
