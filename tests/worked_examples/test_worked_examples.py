"""Every example of fixtures/worked_examples against the public functions; sources stand beside the figures there.

Examples of whole sheets (topics "field_sheet" and "whole_chain") go through the evaluation and are tested with it.
"""

from collections import Counter
from decimal import Decimal
from typing import Any

import pytest

from compaction.calculations import calibration, density, moisture, oversize, zero_air_voids
from compaction.calculations.can_sheet import CanLine, check_can_sheet, water_contents_pct
from compaction.calculations.compaction_effort import effort_findings
from compaction.calculations.density_sheet import check_density_sheet, worked_figures
from compaction.calculations.errors import CalculationError, OutsideValidity
from compaction.calculations.hole_sizes import PIT_VOLUMES_M3, SMALLEST_HOLES, hole_findings, pit_volume_findings
from compaction.calculations.methods import read_readings, work
from compaction.calculations.moisture_density_curve import propose, reported_findings, wet_density_in_mould_kgm3
from compaction.calculations.moisture_specimens import SPECIMEN_TABLES, smallest_specimen_kg, specimen_findings
from compaction.calculations.sheet_check import check_figure, printed_figure
from compaction.facts import CurvePoint, WaterContentReading
from tests.worked_examples.example_files import FOLDER, all_si, assert_met, codes, examples, met, si

#: topics with test modules of their own: test_in_place, test_references_and_statistics
BESIDE = (
    "in_place",
    "relative_density",
    "rapid_method",
    "family_of_curves",
    "statistics",
    "comparison_and_uncertainty",
)
HERE = (
    "sand_cone_sheet",
    "calibration",
    "water_content",
    "oversize",
    "curve",
    "compaction_effort",
    "density",
    "limits",
)
WITH_EVALUATION = ("field_sheet", "whole_chain")
KINDS = {"published", "published-with-error", "inputs-only", "constructed", "table", "dataset"}


def by_id(topic: str) -> Any:
    return pytest.mark.parametrize("example", examples(topic), ids=lambda example: example["id"])


def test_every_example_says_where_it_comes_from_and_why_its_tolerance() -> None:
    known = [example for topic in (*HERE, *BESIDE, *WITH_EVALUATION) for example in examples(topic)]
    assert len(known) == sum(path.read_text(encoding="utf-8").count("[[example]]") for path in FOLDER.glob("*.toml"))
    assert [name for name, count in Counter(example["id"] for example in known).items() if count > 1] == []
    for example in known:
        assert example["kind"] in KINDS, example["id"]
        assert example["obtained"] in {"read", "memory", "constructed"}, example["id"]
        assert len(example["source"]) > 15, example["id"]
        assert len(example["tolerance_reason"]) > 10, example["id"]
        if example["kind"] == "published-with-error":
            assert example.get("findings") or example.get("error"), f"{example['id']}: which finding must come?"


SHEET_NAMES = {"cone_and_plate_mass": "cone_mass", "cone_and_plate_volume": "cone_volume"}


@by_id("sand_cone_sheet")
def test_sand_cone_sheets(example: dict[str, Any]) -> None:
    written = example.get("readings", {})
    readings = all_si({SHEET_NAMES.get(name, name): text for name, text in written.items()})
    readings |= all_si(example.get("inputs", {}))
    if "error" in example:
        with pytest.raises(CalculationError) as raised:
            work(read_readings("sand_cone", 1, written))
        assert raised.value.code == example["error"]
        return
    figures = worked_figures(readings)
    for name, text in example.get("recomputed", {}).items():
        assert_met(text, figures[name], name=name)
    printed = [printed_figure(name, text) for name, text in example["printed"].items()]
    assert codes(check_density_sheet(readings, printed)) == example["findings"]
    if example["kind"] == "published":
        for name, text in example["printed"].items():
            assert_met(text, figures[name], name=name)
    if written:
        in_place = work(read_readings("sand_cone", 1, written))
        assert in_place.hole_volume_m3 is not None
        assert in_place.wet_density_kgm3 is not None
        assert_met(example["recomputed"]["hole_volume"], in_place.hole_volume_m3, name="hole_volume")
        assert_met(example["recomputed"]["wet_density"], in_place.wet_density_kgm3, name="wet_density")


@by_id("calibration")
def test_calibration(example: dict[str, Any]) -> None:
    given = all_si(example["inputs"])
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
    for name, text in (example["printed"] | example.get("recomputed", {})).items():
        assert_met(text, worked[name], name=name, within=example.get("within", {}).get(name, ""))


@by_id("water_content")
def test_water_content(example: dict[str, Any]) -> None:
    lines = [
        CanLine(
            wet_and_can_kg=si(can["wet"]),
            dry_and_can_kg=si(can["dry"]),
            can_kg=si(can["can"]),
            group=can.get("group", ""),
            printed_dry_soil=printed_figure("dry_soil", can["printed_dry_soil"]) if "printed_dry_soil" in can else None,
            printed_water_content=printed_figure("water_content", can["printed"]),
        )
        for can in example.get("cans", [])
    ]
    means = [(group, printed_figure("mean_water_content", text)) for group, text in example.get("printed_means", [])]
    assert codes(check_can_sheet(lines, means)) == example["findings"]
    worked = water_contents_pct(lines)
    for text, value in zip(example.get("recomputed_water_contents", []), worked, strict=False):
        assert_met(text, value, name="water_content")
    if example["kind"] == "published":
        for can, value in zip(example.get("cans", []), worked, strict=True):
            assert_met(can["printed"], value, name="water_content")
    if "specimens_too_small" in example:
        cans = tuple(
            {"wet_and_can_kg": line.wet_and_can_kg, "dry_and_can_kg": line.dry_and_can_kg, "can_kg": line.can_kg}
            for line in lines
        )
        found = specimen_findings(
            WaterContentReading("oven", "total", cans=cans),
            maximum_particle_mm=si(example["maximum_particle"]) * 1000,
        )
        assert codes(found) == ["moisture-specimen-too-small"] * example["specimens_too_small"]
    for conversion in example.get("conversions", []):
        worked_pct = moisture.wet_to_dry_basis_pct(si(conversion["wet_basis"]))
        assert_met(conversion["printed"], worked_pct, name="dry basis")
        assert moisture.dry_to_wet_basis_pct(worked_pct) == pytest.approx(si(conversion["wet_basis"]))
    if drying := example.get("drying"):
        dry_kg = moisture.dry_mass_kg(
            wet_mass_kg=si(drying["mass"]),
            water_content_pct=moisture.wet_to_dry_basis_pct(si(drying["from_wet_basis"])),
        )
        after_pct = moisture.wet_to_dry_basis_pct(si(drying["to_wet_basis"]))
        assert_met(drying["printed"], dry_kg * (1 + after_pct / 100), name="mass after drying")
    for tester in example.get("carbide", []):
        worked_pct = moisture.carbide_dry_basis(si(tester["dial"]), tester["half_specimen"])
        assert_met(tester["printed"], worked_pct, name="carbide")


@by_id("oversize")
def test_oversize(example: dict[str, Any]) -> None:
    given = all_si(example["inputs"])
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
    expected = example.get("printed", {}) | example.get("recomputed", {})
    assert expected
    for name, text in expected.items():
        assert_met(text, worked[name], name=name, within=example.get("within", {}).get(name, ""))


@by_id("curve")
def test_curves(example: dict[str, Any]) -> None:
    points, findings = [], []
    for point in example["points"]:
        water_pct = (
            si(point["water_content"])
            if "water_content" in point
            else moisture.from_masses(
                wet_and_can_kg=si(point["can_wet"]), dry_and_can_kg=si(point["can_dry"]), can_kg=si(point["can"])
            )
        )
        volume_m3 = si(example["mould_volume"]) if "mould_volume" in example else None
        if "diameter" in point:
            volume_m3 = calibration.cylinder_volume_m3(diameter_m=si(point["diameter"]), height_m=si(point["height"]))
            findings += check_figure(printed_figure("volume", point["printed_volume"]), volume_m3)
        if "dry" in point:
            dry_kgm3 = si(point["dry"])
        else:
            if "wet" in point:
                wet_kgm3 = si(point["wet"])
            else:
                mould_kg = si(example["mould"]) if "mould" in example else Decimal(0)
                assert volume_m3 is not None
                wet_kgm3 = wet_density_in_mould_kgm3(
                    mass_full_kg=si(point.get("full", point.get("soil"))),
                    mass_mould_kg=mould_kg,
                    mould_volume_m3=volume_m3,
                )
                findings += check_figure(printed_figure("wet_density", point["printed_wet"]), wet_kgm3)
            dry_kgm3 = density.dry_density_kgm3(wet_density_kgm3=wet_kgm3, water_content_pct=water_pct)
            if "printed_dry" in point:
                findings += check_figure(printed_figure("dry_density", point["printed_dry"]), dry_kgm3)
            if "recomputed_dry" in point:
                assert_met(point["recomputed_dry"], dry_kgm3, name="dry_density")
        points.append(CurvePoint(water_content_pct=water_pct, dry_density_kgm3=dry_kgm3))
    proposals = propose(points)
    findings += proposals.findings
    if reported := example.get("reported"):
        findings += reported_findings(
            points,
            maximum_dry_density_kgm3=si(reported["maximum_dry_density"]),
            optimum_water_content_pct=si(reported["optimum_water_content"]),
        )
    assert codes(findings) == example["findings"]
    fitted = {proposal.fit: proposal for proposal in proposals.proposals}
    if not example["peaks"]:
        assert not fitted
    for fit, (optimum, maximum) in example["peaks"].items():
        assert_met(optimum, fitted[fit].optimum_water_content_pct, name=f"{fit} optimum")
        assert_met(maximum, fitted[fit].maximum_dry_density_kgm3, name=f"{fit} maximum")


@by_id("compaction_effort")
def test_compaction_effort(example: dict[str, Any]) -> None:
    assert codes(effort_findings(**example["inputs"])) == example["findings"]


@by_id("density")
def test_densities(example: dict[str, Any]) -> None:
    given = all_si(example["inputs"])
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
        in_place = work(read_readings("nuclear_gauge", 1, example["readings"]))
        assert in_place.dry_density_kgm3 is not None
        assert in_place.water_contents[0].water_content_pct is not None
        worked["gauge_dry_density"] = in_place.dry_density_kgm3
        worked["gauge_water_content"] = in_place.water_contents[0].water_content_pct
        worked["gauge_percent_compaction"] = density.percent_compaction(
            dry_density_kgm3=in_place.dry_density_kgm3, maximum_dry_density_kgm3=given["maximum_dry_density"]
        )
    if "minimum_percent_compaction" in given:
        worked["required_dry_density"] = density.required_dry_density_kgm3(
            maximum_dry_density_kgm3=given["maximum_dry_density"],
            minimum_percent_compaction=given["minimum_percent_compaction"],
        )
    if "dry_density" in given:
        phases = {
            "dry_density_kgm3": given["dry_density"],
            "water_content_pct": given["water_content"],
            "specific_gravity": given["specific_gravity"],
            "water_density_kgm3": given["water_density"],
        }
        worked["saturation"] = zero_air_voids.saturation_pct(**phases)
        worked["air_voids"] = zero_air_voids.air_voids_pct(**phases)
    expected = example.get("printed", {}) | example.get("recomputed", {})
    assert expected
    for water_content, line in expected.pop("zero_air_voids", []):
        limit_kgm3 = zero_air_voids.zero_air_voids_dry_density_kgm3(
            water_content_pct=si(water_content),
            specific_gravity=given["specific_gravity"],
            water_density_kgm3=given["water_density"],
        )
        assert_met(line, limit_kgm3, name=f"zero air voids at {water_content}")
    for name, text in expected.items():
        assert_met(text, worked[name], name=name)


@by_id("limits")
def test_limits(example: dict[str, Any]) -> None:
    a_little = Decimal("0.000001")
    for row in example.get("oversize", []):
        rule = {"sieve": row["sieve"], "practice": row["practice"]}
        minimum = si(row["minimum"])
        assert not oversize.correction_applies(oversize_pct=minimum, **rule)
        assert oversize.correction_applies(oversize_pct=minimum + a_little, **rule)
        if "maximum" in row:
            assert oversize.correction_applies(oversize_pct=si(row["maximum"]), **rule)
            with pytest.raises(OutsideValidity) as raised:
                oversize.correction_applies(oversize_pct=si(row["maximum"]) + a_little, **rule)
            assert raised.value.code == "oversize-beyond-limit"
            assert raised.value.limit == si(row["maximum"])
    for particle, mass in example.get("specimens", []):
        smallest_kg = smallest_specimen_kg(maximum_particle_mm=si(particle) * 1000, standard=example["standard"])
        assert smallest_kg == si(mass)
    if "specimens" in example:
        assert len(SPECIMEN_TABLES[example["standard"]].rows) == len(example["specimens"])
    for particle, volume in example.get("holes", []):
        hole = {"maximum_particle_mm": si(particle) * 1000, "standard": example["standard"]}
        assert hole_findings(hole_volume_m3=si(volume), **hole) == ()
        assert codes(hole_findings(hole_volume_m3=si(volume) - a_little, **hole)) == ["hole-too-small"]
    if "holes" in example and example["standard"] != "AASHTO T 191":  # its last particle differs between editions
        assert len(SMALLEST_HOLES[example["standard"]].rows) == len(example["holes"])
    for standard, smallest, largest in example.get("pits", []):
        assert PIT_VOLUMES_M3[standard] == (si(smallest), si(largest))
        for volume in (si(smallest), si(largest)):
            assert pit_volume_findings(pit_volume_m3=volume, standard=standard) == ()
        for volume in (si(smallest) - a_little, si(largest) + a_little):
            assert codes(pit_volume_findings(pit_volume_m3=volume, standard=standard)) == ["pit-outside-method"]
    if "dial_maximum" in example:
        assert moisture.carbide_dry_basis(si(example["dial_maximum"])) == 25
        with pytest.raises(OutsideValidity):
            moisture.carbide_dry_basis(si(example["dial_maximum"]) + a_little)
        assert si(example["dial_maximum_aggregate"]) == moisture.CARBIDE_DIAL_MAXIMUM_AGGREGATE_PCT


def test_a_print_is_met_only_within_half_its_last_digit() -> None:
    for worked, expected in (("95.25", True), ("95.35", True), ("95.2499999", False), ("95.3500001", False)):
        assert met("95.3 %", Decimal(worked)) is expected, worked
