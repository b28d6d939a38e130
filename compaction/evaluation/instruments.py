"""What registered instruments, standard counts and certificates say about one test: validity findings, no more.

They speak only where the project keeps such records: a record of an instrument from before calibrations were kept has
revision 0 here and only its period counts (see `remarks`). Days are those of the test's own clock.
"""

from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from compaction.calculations.gauge_readings import NuclearGaugeReadings
from compaction.calculations.quantities import from_si
from compaction.facts import EvaluationInputs, Finding
from compaction.instrument_facts import ApparatusFacts, CertificateFacts, StandardCountFacts

#: A figure used may differ this much from the registered one: rounding in the last digit (common practice, no source).
ROUNDING_PCT: Final = Decimal("0.1")
_ENDS: Final = {"mass": "_kg", "volume": "_m3", "density": "_kgm3"}
_CONE_FIGURES: Final = (
    ("cone_and_plate_mass", "mass"),
    ("cone_and_plate_volume", "volume"),
    ("cone_mass", "mass"),
    ("cone_volume", "volume"),
)
_CYLINDER_FIGURES: Final = (("cylinder_volume", "volume"),)
_SHOWN: Final = {
    "mass": ("g", Decimal("0.1")),
    "density": ("g/cm3", Decimal("0.001")),
    "volume": ("cm3", Decimal("0.1")),
}
_Figure = tuple[str, str, Decimal | None]  # name in the register, kind of quantity, value used


def findings(inputs: EvaluationInputs) -> tuple[Finding, ...]:
    """Everything that the records say about the test, in a fixed order; empty in a project that keeps none."""
    kept = any(record.rev for record in inputs.apparatus)
    if not (kept or inputs.standard_counts or inputs.certificates):
        return ()
    found: list[Finding] = []
    if kept:
        found.extend(_instruments(inputs))
    readings = inputs.observation.readings
    if isinstance(readings, NuclearGaugeReadings) and (serial := _gauge(inputs, readings)):
        found.extend(_standard_count(inputs, readings, serial))
    if inputs.certificates and inputs.observation.technician:
        found.extend(_certificates(inputs))
    return tuple(found)


def in_force(records: tuple[ApparatusFacts, ...], serial: str, day: date) -> ApparatusFacts | None:
    """The newest record of an instrument that had begun on a day, whether or not it has run out since."""
    begun = [one for one in records if one.serial == serial and one.rev and one.valid_from <= day]
    return max(begun, key=lambda one: one.rev, default=None)


def is_sand(inputs: EvaluationInputs, serial: str) -> bool:
    """Whether it is registered as a batch of sand, whose age has a finding of its own."""
    return any(one.serial == serial and one.rev and one.kind == "sand" for one in inputs.apparatus)


def _day(inputs: EvaluationInputs) -> date:
    return inputs.observation.performed_at.date()


def _gauge(inputs: EvaluationInputs, readings: NuclearGaugeReadings) -> str:
    return readings.serial or inputs.observation.apparatus.get("gauge", "")


# ---- instruments ---------------------------------------------------------------------------------
def _instruments(inputs: EvaluationInputs) -> Iterator[Finding]:
    readings, named, day = inputs.observation.readings, inputs.observation.apparatus, _day(inputs)
    pair = getattr(readings, "pouring_cylinder", "") or named.get("cone", "")
    serials = dict.fromkeys([*(serial for _, serial in sorted(named.items())), pair])
    if isinstance(readings, NuclearGaugeReadings):
        serials[_gauge(inputs, readings)] = None
    sand = _sand(inputs, named.get("sand", ""), pair, day)
    if sand is not None:
        serials[sand.serial] = None
    for serial in filter(None, serials):
        record = in_force(inputs.apparatus, serial, day)
        if record is not None and record.faults:
            yield _faulty(record)
    registered = in_force(inputs.apparatus, pair, day)
    cylinder = in_force(inputs.apparatus, named.get("cylinder", ""), day)
    # By the names of the readings and not by their type: a new method that has such a reading is looked at as well.
    for code, record, names in (
        ("cone-correction-differs", registered, _CONE_FIGURES),
        ("cylinder-volume-differs", cylinder, _CYLINDER_FIGURES),
    ):
        yield from _differing(record, code, tuple(_used(readings, name, kind) for name, kind in names))
    sand_density = _used(readings, "sand_bulk_density", "density")
    if sand_density[2] is not None:
        yield from _differing(sand or registered, "sand-density-differs", (sand_density,))
        if sand is not None and sand.valid_until is not None and day > sand.valid_until:
            yield Finding(
                "sand-density-out-of-date",
                "validity",
                f"The bulk density of sand {sand.serial} was determined on {sand.valid_from.isoformat()} and served "
                f"until {sand.valid_until.isoformat()}; the test is of {day.isoformat()}. Determine it anew (ASTM "
                "D1556: at least every 14 days and for each batch, from memory).",
                {"serial": sand.serial, "valid_until": sand.valid_until.isoformat()},
            )


def _used(readings: object, name: str, kind: str) -> "_Figure":
    return name, kind, getattr(readings, name + _ENDS[kind], None)


def _sand(inputs: EvaluationInputs, named: str, pair: str, day: date) -> ApparatusFacts | None:
    """The batch that the test names, else the newest that belongs to its cone and plate on that day."""
    if named:
        record = in_force(inputs.apparatus, named, day)
        return record if record is not None and record.kind == "sand" else None
    if not pair:
        return None
    batches = {one.serial for one in inputs.apparatus if one.kind == "sand" and one.belongs_to == pair}
    begun = [
        record
        for serial in sorted(batches)
        if (record := in_force(inputs.apparatus, serial, day)) is not None and record.belongs_to == pair
    ]
    return max(begun, key=lambda one: (one.valid_from, one.rev), default=None)


def _differing(record: ApparatusFacts | None, code: str, figures: tuple[_Figure, ...]) -> Iterator[Finding]:
    for name, kind, used in figures:
        registered = None if record is None else record.values.get(name)
        if record is None or used is None or registered is None:
            continue
        if abs(used - registered) * 100 <= ROUNDING_PCT * registered:
            continue
        words = name.replace("_", " ")
        yield Finding(
            code,
            "validity",
            f"The {words} used is {_shown(used, kind)}; registered for {record.serial} since "
            f"{record.valid_from.isoformat()} is {_shown(registered, kind)}. Correct the reading or the register.",
            {"serial": record.serial, "quantity": name, "used": _number(used), "registered": _number(registered)},
        )


def _faulty(record: ApparatusFacts) -> Finding:
    faults = ", ".join(sorted(set(record.faults)))
    return Finding(
        "calibration-doubtful",
        "validity",
        f"The calibration of {record.serial} of {record.valid_from.isoformat()} is remarked: {faults}. Look at its "
        "record; calibrate it again if the remark holds.",
        {"serial": record.serial, "faults": faults},
    )


# ---- standard counts -----------------------------------------------------------------------------
def _standard_count(inputs: EvaluationInputs, readings: NuclearGaugeReadings, serial: str) -> Iterator[Finding]:
    counts, moment = inputs.standard_counts.get(serial, ()), inputs.observation.performed_at
    begins = [_day_of(counts[0], moment)] if counts else []
    begins += [
        one.valid_from for one in inputs.apparatus if one.serial == serial and one.rev and one.count_interval_days
    ]
    if not begins or moment.date() < min(begins):
        return
    record = in_force(inputs.apparatus, serial, moment.date())
    stated = record.count_interval_days if record is not None else None
    serving = [one for one in counts if one.taken_at <= moment and _serves(one, moment, stated)]
    good = [one for one in serving if one.accepted]
    if not good:
        days = stated or (counts[-1].serves_days if counts else 1)
        when = "that day" if days == 1 else f"in the {days} days to the test"
        code, what = "standard-count-missing", f"has no standard count {when} before the test"
        if serving:
            code, what = (
                "standard-count-rejected",
                f"has no accepted standard count {when}; the last was off its limits",
            )
        yield Finding(
            code,
            "validity",
            f"The gauge {serial} {what}. Enter the count that was taken, or have the gauge checked.",
            {"serial": serial},
        )
        return
    for kind, used in (("density", readings.density_standard_count), ("moisture", readings.moisture_standard_count)):
        taken = [one.density_counts if kind == "density" else one.moisture_counts for one in good]
        taken = [one for one in taken if one]
        if used is None or not taken or any(_is_of(used, one) for one in taken):
            continue
        last = sum(taken[-1], Decimal(0)) / len(taken[-1])
        yield Finding(
            "standard-count-differs",
            "validity",
            f"The test states a {kind} standard count of {used}; the count on file for {serial} is {last:.0f}. "
            "Correct the reading, or enter the count that the gauge was set to.",
            {"serial": serial, "kind": kind, "used": str(used), "registered": f"{last:.0f}"},
        )


def _day_of(count: StandardCountFacts, moment: datetime) -> date:
    return count.taken_at.astimezone(moment.tzinfo).date()


def _serves(count: StandardCountFacts, moment: datetime, stated: int | None) -> bool:
    return (moment.date() - _day_of(count, moment)).days < (stated or count.serves_days)


def _is_of(used: int, counts: tuple[int, ...]) -> bool:
    """One of the counts, or their mean as a display rounds it."""
    return used in counts or abs(used * len(counts) - sum(counts)) * 2 <= len(counts)


# ---- certificates --------------------------------------------------------------------------------
def _certificates(inputs: EvaluationInputs) -> Iterator[Finding]:
    observation = inputs.observation
    wanted = [("for this method", {observation.method, "all"})]
    if observation.method == "nuclear_gauge":
        wanted.append(("for radiation safety", {"radiation_safety"}))
    for words, subjects in wanted:
        kept = [one for one in inputs.certificates if one.subject in subjects]
        own = [one for one in kept if one.person == observation.technician]
        if kept:
            yield from _certificate(observation.technician, words, own, _day(inputs))


def _certificate(person: str, words: str, own: list[CertificateFacts], day: date) -> Iterator[Finding]:
    if any(one.valid_from <= day and (one.valid_until is None or day <= one.valid_until) for one in own):
        return
    ended = [one.valid_until for one in own if one.valid_until is not None and one.valid_until < day]
    if ended:
        last = max(ended).isoformat()
        yield Finding(
            "operator-certificate-out-of-date",
            "validity",
            f"The certificate of {person} {words} was valid until {last}; the test is of {day.isoformat()}. Enter the "
            "renewal, or have another person confirm the test.",
            {"person": person, "valid_until": last, "for": words},
        )
    else:
        yield Finding(
            "operator-certificate-missing",
            "validity",
            f"The project keeps certificates {words} and has none of {person} for {day.isoformat()}. Enter it, or "
            "correct the name.",
            {"person": person, "for": words},
        )


def _shown(value: Decimal, kind: str) -> str:
    unit, step = _SHOWN[kind]
    return f"{from_si(value, unit).quantize(step):f} {unit}"


def _number(value: Decimal) -> str:
    text = format(value.quantize(Decimal("1e-9")), "f")
    return text.rstrip("0").rstrip(".")
