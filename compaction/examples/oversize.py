"""Oversize: from the laboratory to the field and back."""

from decimal import Decimal

from compaction.calculations import oversize
from compaction.examples.check import Check
from compaction.examples.figures import si
from compaction.examples.topic import Example, Topic


def run(example: Example, check: Check) -> None:
    """Each direction for which the inputs are given."""
    given = {name: si(text, f"inputs.{name}") for name, text in example["inputs"].items()}
    worked: dict[str, Decimal] = {}
    if "control_water_content" in given:
        worked["total_water_content"] = oversize.total_water_content_pct(
            control_pct=given["control_water_content"],
            oversize_water_pct=given["oversize_water_content"],
            oversize_pct=given["oversize"],
        )
    if "maximum_dry_density" in given:
        worked["corrected_maximum_dry_density"] = oversize.corrected_maximum_dry_density_kgm3(
            maximum_dry_density_kgm3=given["maximum_dry_density"],
            oversize_pct=given["oversize"],
            bulk_specific_gravity=given["bulk_specific_gravity"],
            water_density_kgm3=given["water_density"],
        )
        worked["corrected_optimum_water_content"] = oversize.corrected_optimum_pct(
            optimum_water_content_pct=given["optimum_water_content"],
            oversize_pct=given["oversize"],
            oversize_water_content_pct=given["oversize_water_content"],
        )
    if "total_dry_density" in given:
        worked["control_fraction_dry_density"] = oversize.field_control_fraction_dry_density_kgm3(
            total_dry_density_kgm3=given["total_dry_density"],
            oversize_pct=given["oversize"],
            bulk_specific_gravity=given["bulk_specific_gravity"],
            water_density_kgm3=given["water_density"],
        )
        worked["control_fraction_water_content"] = oversize.field_control_fraction_water_content_pct(
            total_water_content_pct=given["total_water_content"],
            oversize_water_content_pct=given["oversize_water_content"],
            oversize_pct=given["oversize"],
        )
    check.expected(worked)


OVERSIZE = Topic(
    code="oversize",
    title="Oversize correction, both ways",
    run=run,
    needs=("inputs",),
    inputs={
        "oversize": "percent of the dry mass retained",
        "bulk_specific_gravity": "of the oversize, oven dry",
        "water_density": "density of water",
        "oversize_water_content": "water content of the oversize",
        "control_water_content": "water content of the control fraction",
        "maximum_dry_density": "of the control fraction, from the laboratory; with `optimum_water_content`",
        "optimum_water_content": "of the control fraction",
        "total_dry_density": "of the whole material in place; with `total_water_content`",
        "total_water_content": "of the whole material",
    },
    figures={
        "total_water_content": "from both fractions",
        "corrected_maximum_dry_density": "maximum of the whole material",
        "corrected_optimum_water_content": "optimum of the whole material",
        "control_fraction_dry_density": "of the control fraction in place",
        "control_fraction_water_content": "of the control fraction in place",
    },
)
