"""Points of a curve worked out from the bench's masses, each with its worksheet, and what the weighings say.

A point that cannot be worked out stays on record with the reason; the others are used without it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from compaction.calculations import density, moisture
from compaction.calculations.errors import CalculationError
from compaction.calculations.moisture_density_curve import wet_density_in_mould_kgm3
from compaction.calculations.moisture_specimens import smallest_specimen_kg
from compaction.calculations.precision import DIFFERENCE_FACTOR, PRECISIONS
from compaction.calculations.quantities import quantise
from compaction.calculations.readings import Values
from compaction.calculations.worksheet import Worksheet
from compaction.facts import CurvePoint, Finding, Step
from compaction.instrument_facts import ApparatusFacts
from compaction.records.bench_points import BenchPoint


@dataclass(frozen=True)
class Mould:
    """Volume and mass of a mould, as far as they are known."""

    serial: str = ""
    volume_m3: Decimal | None = None
    mass_kg: Decimal | None = None


@dataclass(frozen=True)
class WorkedPoint:
    """A specimen worked out, with its worksheet; `problem` says why it could not be."""

    number: int
    raw: bool
    rejected: bool
    why: str
    wet_density_kgm3: Decimal | None = None
    water_content_pct: Decimal | None = None
    dry_density_kgm3: Decimal | None = None
    can_water_contents_pct: tuple[Decimal, ...] = ()
    steps: tuple[Step, ...] = ()
    problem: str = ""

    @property
    def point(self) -> CurvePoint | None:
        """The point as a curve uses it."""
        if self.water_content_pct is None or self.dry_density_kgm3 is None:
            return None
        return CurvePoint(self.water_content_pct, self.dry_density_kgm3, self.rejected)


def work_out(
    points: Sequence[BenchPoint], *, stated: Values, register: Mapping[str, Mould] | None = None
) -> tuple[WorkedPoint, ...]:
    """Wet density, water content and dry density of each point. A mould is what the point states, else what the
    reference states (`stated`, with `MOULD_FIELDS`), else what stands in the register of moulds under its serial.
    """
    return tuple(_worked(point, _mould(point, stated, register or {})) for point in points)


def _mould(point: BenchPoint, stated: Values, register: Mapping[str, Mould]) -> Mould:
    serial = point.values.text("mould") or stated.text("mould")
    known = register.get(serial, Mould())
    choices = (point.values, stated) if not point.values.text("mould") else (point.values,)
    volumes = [one.optional_decimal("mould_volume") for one in choices]
    masses = [one.optional_decimal("mould_mass") for one in choices]
    return Mould(
        serial,
        next((one for one in volumes if one is not None), known.volume_m3),
        next((one for one in masses if one is not None), known.mass_kg),
    )


def _worked(point: BenchPoint, mould: Mould) -> WorkedPoint:
    values, sheet = point.values, Worksheet()
    wet, dry = values.optional_decimal("wet_density"), values.optional_decimal("dry_density")
    water = values.optional_decimal("water_content")
    each: tuple[Decimal, ...] = ()
    problem = ""
    try:
        if point.cans:
            each = tuple(quantise(moisture.from_cans([can.masses_kg])) for can in point.cans)
            water = quantise(moisture.from_cans([can.masses_kg for can in point.cans], sheet))
        full_kg = values.optional_decimal("mould_and_soil")
        if full_kg is not None:
            if mould.volume_m3 is None or mould.mass_kg is None:
                lacking = "volume" if mould.volume_m3 is None else "mass"
                named = f"mould {mould.serial}" if mould.serial else "mould"
                raise _MouldNotKnown(
                    "mould-not-known", f"The {lacking} of the {named} is not known; state it, or enter its calibration."
                )
            wet = wet_density_in_mould_kgm3(
                mass_full_kg=full_kg, mass_mould_kg=mould.mass_kg, mould_volume_m3=mould.volume_m3, sheet=sheet
            )
        if dry is None:
            assert wet is not None
            assert water is not None
            dry = density.dry_density_kgm3(
                wet_density_kgm3=wet, water_content_pct=water, sheet=sheet, step="mould-dry-density"
            )
            dry, wet = quantise(dry), quantise(wet)
    except CalculationError as error:
        problem, dry = error.sentence, None
    return WorkedPoint(
        number=point.number,
        raw=point.raw,
        rejected=values.yes("rejected"),
        why=values.text("why"),
        wet_density_kgm3=wet,
        water_content_pct=water,
        dry_density_kgm3=dry,
        can_water_contents_pct=each,
        steps=sheet.steps,
        problem=problem,
    )


class _MouldNotKnown(CalculationError):
    """A point weighed in a mould of which volume or mass is not known."""


def findings(
    points: Sequence[BenchPoint], worked: Sequence[WorkedPoint], *, maximum_particle_mm: Decimal, standard: str
) -> list[Finding]:
    """What the weighings say: "point-not-worked-out", "rejected-without-reason", "cans-of-point-differ",
    "moisture-specimen-too-small". Sources: ASTM D2216 precision (from memory), the table of the `standard`.
    """
    found = []
    for one in worked:
        if one.problem:
            sentence = f"Point {one.number} could not be worked out and is left out: {one.problem}"
            found.append(Finding("point-not-worked-out", "validity", sentence, {"point": str(one.number)}))
        if one.rejected and one.raw and not one.why:
            sentence = f"Point {one.number} is rejected without a reason. Say why."
            found.append(Finding("rejected-without-reason", "validity", sentence, {"point": str(one.number)}))
        found.extend(_cans_differ(one))
    needed_kg = smallest_specimen_kg(maximum_particle_mm=maximum_particle_mm, standard=standard)
    moist = [can.masses_kg["wet_and_can_kg"] - can.masses_kg["can_kg"] for point in points for can in point.cans]
    small = [mass for mass in moist if mass < needed_kg]
    if small:
        sentence = (
            f"{len(small)} of {len(moist)} cans held less moist soil than the {needed_kg * 1000:.0f} g that {standard} "
            f"asks for with particles up to {maximum_particle_mm:f} mm; the least was {min(small) * 1000:.1f} g. Take "
            "larger specimens."
        )
        found.append(Finding("moisture-specimen-too-small", "validity", sentence, {"cans": str(len(small))}))
    return found


def _cans_differ(point: WorkedPoint) -> list[Finding]:
    each = point.can_water_contents_pct
    if len(each) < 2 or point.water_content_pct is None:
        return []
    kept = PRECISIONS["water_content", "ASTM D2216", ""]
    allowed = DIFFERENCE_FACTOR * kept.single_operator * point.water_content_pct / 100
    apart = max(each) - min(each)
    if apart <= allowed:
        return []
    sentence = (
        f"The cans of point {point.number} lie {apart:.2f} points of water content apart; one operator repeats within "
        f"{allowed:.2f} (ASTM D2216, from memory). Check the masses, or dry another specimen."
    )
    return [
        Finding("cans-of-point-differ", "validity", sentence, {"point": str(point.number), "apart": f"{apart:.2f}"})
    ]


def moulds(apparatus: Mapping[str, Sequence[ApparatusFacts]]) -> dict[str, Mould]:
    """The register of moulds: newest record of each serial number with a volume or a mass."""
    found = {}
    for serial, records in apparatus.items():
        newest = records[-1]
        if newest.kind == "mould":
            values = newest.values
            volume = values.get("mould_volume", values.get("volume"))
            found[serial] = Mould(serial, volume, values.get("mould_mass", values.get("mass")))
    return found
