"""Tests in place by any method: readings to wet and dry density."""

from decimal import Decimal

from compaction.calculations import density, moisture
from compaction.calculations.methods import METHODS, read_readings, work
from compaction.examples.check import Check
from compaction.examples.figures import BrokenExample, si
from compaction.examples.topic import Example, Topic


def run(example: Example, check: Check) -> None:
    """Work the readings, and the can where one is given."""
    method = METHODS.get(example["method"])
    if method is None:
        raise BrokenExample("method", f"{example['method']!r} is no method.", f"Use one of {', '.join(METHODS)}.")
    readings = read_readings(method.code, method.schema, example["readings"])
    in_place = work(readings)
    check.found(in_place.findings)
    if "maximum_particle" in example:
        if method.particle_findings is None:
            raise BrokenExample("maximum_particle", f"{method.title} has no rule for particles.", "Leave it out.")
        particle_mm = si(example["maximum_particle"], "maximum_particle") * 1000
        check.found(method.particle_findings(readings, in_place, particle_mm))
    worked: dict[str, Decimal] = {}
    if in_place.wet_density_kgm3 is not None:
        worked["wet_density"] = in_place.wet_density_kgm3
    if in_place.dry_density_kgm3 is not None:
        worked["dry_density"] = in_place.dry_density_kgm3
    if in_place.hole_volume_m3 is not None:
        worked["hole_volume"] = in_place.hole_volume_m3
    if can := example.get("can"):
        worked["water_content"] = moisture.from_masses(
            wet_and_can_kg=si(can["wet"], "can.wet"),
            dry_and_can_kg=si(can["dry"], "can.dry"),
            can_kg=si(can["can"], "can.can"),
        )
        worked["dry_density"] = density.dry_density_kgm3(
            wet_density_kgm3=worked["wet_density"], water_content_pct=worked["water_content"]
        )
    check.expected(worked)


IN_PLACE = Topic(
    code="in_place",
    title="A test in place by any method",
    run=run,
    needs=("method", "readings"),
    keys={
        "method": "code of the method, as in a test that is posted",
        "readings": "readings of the method, as in a test that is posted",
        "can": "a can with `wet`, `dry` and `can`, for the water content",
        "maximum_particle": "largest particle, where the size of the specimen is to be judged",
    },
    figures={
        "wet_density": "wet density in place",
        "hole_volume": "volume of the hole, pit or cylinder, where the method has one",
        "water_content": "of the can",
        "dry_density": "dry density in place",
    },
)
