"""Whole sheets line by line: the sand cone, and the calibration of sand, cone and mould."""

from decimal import Decimal

from compaction.calculations import calibration
from compaction.calculations.density_sheet import check_density_sheet, worked_figures
from compaction.calculations.methods import read_readings, work
from compaction.calculations.sheet_check import printed_figure
from compaction.examples.check import Check
from compaction.examples.figures import si
from compaction.examples.topic import Example, Topic

_SHEET_NAMES = {"cone_and_plate_mass": "cone_mass", "cone_and_plate_volume": "cone_volume"}


def run_sand_cone(example: Example, check: Check) -> None:
    """Every printed line of a sand-cone sheet from the readings before it, and the slips that explain what differs."""
    written = example.get("readings", {})
    if written:
        in_place = work(read_readings("sand_cone", 1, written))
    readings = {_SHEET_NAMES.get(name, name): si(text, f"readings.{name}") for name, text in written.items()}
    readings |= {name: si(text, f"inputs.{name}") for name, text in example.get("inputs", {}).items()}
    worked = dict(worked_figures(readings))
    printed = [printed_figure(name, text) for name, text in example.get("printed", {}).items()]
    check.found(check_density_sheet(readings, printed))
    if written and in_place.hole_volume_m3 is not None and in_place.wet_density_kgm3 is not None:
        worked |= {"hole_volume": in_place.hole_volume_m3, "wet_density": in_place.wet_density_kgm3}
    check.expected(worked)


def run_calibration(example: Example, check: Check) -> None:
    """Bulk density of the sand, sand in the cone, volume of a mould by water."""
    given = {name: si(text, f"inputs.{name}") for name, text in example["inputs"].items()}
    worked: dict[str, Decimal] = {}
    if "sand_mass" in given:
        worked["sand_bulk_density"] = calibration.sand_bulk_density_kgm3(
            sand_mass_kg=given["sand_mass"], container_volume_m3=given["container_volume"]
        )
    if "cone_before" in given:
        worked["cone_mass"] = calibration.cone_mass_kg(
            mass_before_kg=given["cone_before"], mass_after_kg=given["cone_after"]
        )
    if "cone_mass" in given:
        worked["cone_volume"] = calibration.cone_volume_m3(
            cone_mass_kg=given["cone_mass"], sand_bulk_density_kgm3=worked["sand_bulk_density"]
        )
    if "mass_full" in given:
        worked["mould_volume"] = calibration.mould_volume_m3(
            mass_full_kg=given["mass_full"],
            mass_empty_kg=given["mass_empty"],
            temperature_degc=given["temperature"],
        )
        worked["mould_volume_unrounded"] = worked["mould_volume"]
    check.expected(worked)


SAND_CONE = Topic(
    code="sand_cone_sheet",
    title="A sand-cone sheet, line by line",
    run=run_sand_cone,
    keys={"readings": "readings of the method `sand_cone`, as in a test that is posted; or `inputs`"},
    inputs={
        "water_mass": "water that fills the container of the calibration",
        "water_density": "its density",
        "container_volume": "volume of the container, where it is known",
        "sand_full": "container and sand",
        "sand_empty": "container",
        "sand_mass": "sand in the container, where it is known",
        "sand_bulk_density": "bulk density of the sand, where it is known",
        "cone_before": "apparatus before the cone was filled",
        "cone_after": "apparatus after it",
        "cone_mass": "sand in cone and plate",
        "mass_before": "apparatus before the hole was filled",
        "mass_after": "apparatus after it",
        "sand_in_hole": "sand in the hole, where it is known",
        "soil_wet_mass": "wet soil from the hole",
        "soil_dry_mass": "the same soil dried",
        "can": "can of the water content",
        "can_wet": "can and wet soil",
        "can_dry": "can and dry soil",
        "water_content": "water content, where it is known",
        "maximum_dry_density": "maximum of the reference, for percent compaction",
    },
    figures={
        "container_volume": "water over its density",
        "sand_bulk_density": "sand over the container's volume",
        "cone_mass": "sand in cone and plate",
        "cone_volume": "the same as a volume",
        "sand_in_hole": "sand run out less that in the cone",
        "hole_volume": "volume of the hole",
        "water_content": "of the can, or of the soil dried whole",
        "wet_density": "wet density in place",
        "dry_density": "dry density in place",
        "percent_compaction": "of the maximum given",
    },
)
CALIBRATION = Topic(
    code="calibration",
    title="Calibration of sand, cone and mould",
    run=run_calibration,
    needs=("inputs",),
    inputs={
        "container_volume": "volume of the container",
        "sand_mass": "sand in it",
        "cone_before": "apparatus before the cone was filled",
        "cone_after": "apparatus after it",
        "cone_mass": "sand in the cone, where it is known",
        "mass_full": "mould full of water",
        "mass_empty": "mould empty",
        "temperature": "temperature of the water",
    },
    figures={
        "sand_bulk_density": "sand over volume",
        "cone_mass": "sand in cone and plate",
        "cone_volume": "the same as a volume",
        "mould_volume": "water over its density",
        "mould_volume_unrounded": "the same, where the example states it with more digits",
    },
)
