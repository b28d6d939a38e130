"""Dry density by the gauge, required density, saturation, zero air voids."""

from decimal import Decimal

from compaction.calculations import density, zero_air_voids
from compaction.calculations.methods import read_readings, work
from compaction.examples.check import Check
from compaction.examples.figures import si
from compaction.examples.topic import Example, Topic


def run(example: Example, check: Check) -> None:
    """Every figure for which the inputs are given."""
    given = {name: si(text, f"inputs.{name}") for name, text in example["inputs"].items()}
    worked: dict[str, Decimal] = {}
    if "wet_density" in given:
        worked["dry_density"] = density.dry_density_kgm3(
            wet_density_kgm3=given["wet_density"], water_content_pct=given["water_content"]
        )
    if "maximum_dry_density" in given and "dry_density" in worked:
        worked["percent_compaction"] = density.percent_compaction(
            dry_density_kgm3=worked["dry_density"], maximum_dry_density_kgm3=given["maximum_dry_density"]
        )
    if "readings" in example:
        worked |= _by_the_gauge(example, given)
    if "minimum_percent_compaction" in given:
        worked["required_dry_density"] = density.required_dry_density_kgm3(
            maximum_dry_density_kgm3=given["maximum_dry_density"],
            minimum_percent_compaction=given["minimum_percent_compaction"],
        )
    if "dry_density" in given:
        worked |= _phases(given)
    for part in ("printed", "recomputed"):
        for place, (water_content, line) in enumerate(example.get(part, {}).get("zero_air_voids", []), 1):
            limit_kgm3 = zero_air_voids.zero_air_voids_dry_density_kgm3(
                water_content_pct=si(water_content, f"{part}.zero_air_voids[{place}]"),
                specific_gravity=given["specific_gravity"],
                water_density_kgm3=given["water_density"],
            )
            check.figure(f"zero air voids at {water_content}", line, limit_kgm3)
    check.expected(worked, but=("zero_air_voids",))


def _phases(given: dict[str, Decimal]) -> dict[str, Decimal]:
    dry_kgm3, water_pct = given["dry_density"], given["water_content"]
    gravity, water_kgm3 = given["specific_gravity"], given["water_density"]
    return {
        "saturation": zero_air_voids.saturation_pct(
            dry_density_kgm3=dry_kgm3,
            water_content_pct=water_pct,
            specific_gravity=gravity,
            water_density_kgm3=water_kgm3,
        ),
        "air_voids": zero_air_voids.air_voids_pct(
            dry_density_kgm3=dry_kgm3,
            water_content_pct=water_pct,
            specific_gravity=gravity,
            water_density_kgm3=water_kgm3,
        ),
    }


def _by_the_gauge(example: Example, given: dict[str, Decimal]) -> dict[str, Decimal]:
    in_place = work(read_readings("nuclear_gauge", 1, example["readings"]))
    worked: dict[str, Decimal] = {}
    if in_place.dry_density_kgm3 is not None:
        worked["gauge_dry_density"] = in_place.dry_density_kgm3
        worked["gauge_percent_compaction"] = density.percent_compaction(
            dry_density_kgm3=in_place.dry_density_kgm3, maximum_dry_density_kgm3=given["maximum_dry_density"]
        )
    for reading in in_place.water_contents:
        if reading.water_content_pct is not None:
            worked["gauge_water_content"] = reading.water_content_pct
    return worked


DENSITY = Topic(
    code="density",
    title="Dry density, required density, saturation",
    run=run,
    needs=("inputs",),
    keys={"readings": "readings of the method `nuclear_gauge`, as in a test that is posted"},
    inputs={
        "wet_density": "wet density in place; with `water_content`",
        "water_content": "water content",
        "maximum_dry_density": "of the reference",
        "minimum_percent_compaction": "that a specification wants",
        "dry_density": "dry density, for saturation and air voids; with `water_content` and the two below",
        "specific_gravity": "of the solids",
        "water_density": "density of water",
    },
    figures={
        "dry_density": "from wet density and water content",
        "percent_compaction": "of the maximum",
        "gauge_dry_density": "as the gauge has it by itself",
        "gauge_water_content": "as the gauge has it by itself",
        "gauge_percent_compaction": "of the maximum, by the gauge alone",
        "required_dry_density": "that just meets the minimum",
        "saturation": "degree of saturation",
        "air_voids": "of the whole volume",
        "zero_air_voids": "pairs of a water content and the dry density of saturated soil there",
    },
)
