"""What only a nuclear gauge has: the key that corrections belong to, the correction in force, remarks on its use."""

from collections.abc import Iterable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, Final

from compaction.calculations import gauge_adopted, gauge_checks
from compaction.calculations.gauge_readings import NuclearGaugeReadings
from compaction.evaluation.work import Work
from compaction.facts import EvaluationInputs, Finding, Observation
from compaction.instrument_facts import GaugeCorrectionFacts, GaugeKey

#: The numbers of a correction: what enters the digest of a test that it applies to.
_NUMBERS: Final = (
    "density_offset_kgm3",
    "density_factor",
    "water_offset_kgm3",
    "water_offset_pct",
    "water_factor",
    "water_factor_of",
)


def key_of(observation: Observation) -> GaugeKey | None:
    """The key of a gauge test; None for other methods, without a serial number or at a depth without a notch."""
    readings = observation.readings
    if not isinstance(readings, NuclearGaugeReadings):
        return None
    serial = readings.serial or observation.apparatus.get("gauge", "")
    direct = readings.mode == "direct_transmission"
    notch = gauge_checks.notch(readings.depth_m) if direct and readings.depth_m is not None else None
    if not serial or (direct and notch is None):
        return None
    return GaugeKey(serial, observation.reference_code, readings.mode, notch)


def in_force(
    corrections: Iterable[GaugeCorrectionFacts], key: GaugeKey | None, *, on: date
) -> GaugeCorrectionFacts | None:
    """The adopted correction of a key on a day: that of its own reference before one for any, then the newest.

    An adopted correction without offsets ends the one before it. Of two from the same day the one adopted later holds.
    """
    if key is None:
        return None
    reaching = [
        one
        for one in corrections
        if (one.gauge, one.mode, one.notch) == (key.gauge, key.mode, key.notch)
        and one.reference in ("", key.reference)
        and one.effective_from <= on
    ]
    if not reaching:
        return None
    return max(reaching, key=_precedence)


def _precedence(one: GaugeCorrectionFacts) -> tuple[bool, date, datetime, str]:
    adopted_at = one.adopted_at or datetime.max.replace(tzinfo=UTC)  # one that is only looked at comes last
    return one.reference != "", one.effective_from, adopted_at, one.ident


def readings_of(inputs: EvaluationInputs) -> object:
    """The readings that are worked: those of the crew, with the correction in force where they carry none."""
    readings = inputs.observation.readings
    if isinstance(readings, NuclearGaugeReadings):
        for correction in inputs.gauge_corrections:
            readings = gauge_adopted.with_correction(readings, correction)
    return readings


def correction_figures(inputs: EvaluationInputs) -> dict[str, Decimal]:
    """The numbers of the correction that was applied, by name with unit; empty where none was."""
    if not inputs.gauge_corrections:
        return {}
    used, written = readings_of(inputs), inputs.observation.readings
    if used is written:
        return {}
    assert isinstance(used, NuclearGaugeReadings)
    assert isinstance(written, NuclearGaugeReadings)
    figures: dict[str, Decimal | None] = {}
    if not written.has_density_offset:
        figures["gauge_density_offset_kgm3"] = used.density_offset_kgm3
        figures["gauge_density_factor"] = used.density_factor
    if not written.has_water_offset:
        figures["gauge_water_offset_kgm3"] = used.offset_kgm3
        figures["gauge_water_offset_pct"] = used.offset_pct
        figures["gauge_water_factor"] = used.offset_factor
    return {name: value for name, value in figures.items() if value is not None}


def digest_parts(inputs: EvaluationInputs) -> dict[str, Any]:
    """What a gauge adds to the name of the inputs: nothing for a test without correction and without later remarks."""
    readings = inputs.observation.readings
    if not isinstance(readings, NuclearGaugeReadings):
        return {}
    applied = [
        {name: _plain(getattr(one, name)) for name in _NUMBERS if getattr(one, name) not in (None, "")}
        for one in inputs.gauge_corrections
        if gauge_adopted.applies(readings, one)
    ]
    remarked = [one.code for one in _findings(inputs)]
    return {"gauge_corrections": applied, "gauge_remarks": remarked}


def _plain(value: Decimal | str) -> str:
    return value if isinstance(value, str) else f"{value.normalize():f}"


def remark(work: Work) -> None:
    """Add what is to be said of the gauge's mode, depth, count time and offsets."""
    work.findings.extend(_findings(work.inputs))


def _findings(inputs: EvaluationInputs) -> list[Finding]:
    readings = inputs.observation.readings
    if not isinstance(readings, NuclearGaugeReadings):
        return []
    found = gauge_checks.later_findings(readings, lift_thickness_m=inputs.observation.lift_thickness_m)
    for correction in inputs.gauge_corrections:
        if gauge_adopted.applies(readings, correction):
            found.append(_applied(correction))
        found.extend(_other_offset(readings, correction))
    return found


def _applied(correction: GaugeCorrectionFacts) -> Finding:
    return Finding(
        "gauge-correction-applied",
        "information",
        f"The correction adopted for gauge {correction.gauge} from {correction.effective_from.isoformat()} was "
        "applied; the worksheet shows the display and what was made of it.",
        {"gauge": correction.gauge, "effective_from": correction.effective_from.isoformat()},
    )


def _other_offset(readings: NuclearGaugeReadings, correction: GaugeCorrectionFacts) -> list[Finding]:
    """A test that carries an offset of its own beside an adopted correction that says something else."""
    findings = []
    own_water = (
        readings.offset_kgm3, readings.offset_pct, readings.offset_factor, readings.offset_factor_of,
    )  # fmt: skip
    adopted_water = (
        correction.water_offset_kgm3, correction.water_offset_pct, correction.water_factor, correction.water_factor_of,
    )  # fmt: skip
    pairs = [
        ("moisture", readings.has_water_offset and correction.corrects_water, own_water, adopted_water),
        (
            "wet density",
            readings.has_density_offset and correction.corrects_density,
            (readings.density_offset_kgm3, readings.density_factor),
            (correction.density_offset_kgm3, correction.density_factor),
        ),
    ]
    for words, carries, own, adopted in pairs:
        if carries and own != adopted:
            findings.append(
                Finding(
                    "offset-differs-from-adopted",
                    "validity",
                    f"The test carries a {words} offset of its own, which is not the one adopted for gauge "
                    f"{correction.gauge} from {correction.effective_from.isoformat()}. Its own was used. Set the "
                    "gauge to the adopted correction, or to none.",
                    {"gauge": correction.gauge, "offset": words, "effective_from": str(correction.effective_from)},
                )
            )
    return findings
