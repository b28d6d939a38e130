"""Water content: sheets of cans, change of basis, the carbide pressure tester."""

from compaction.calculations import moisture
from compaction.calculations.can_sheet import CanLine, check_can_sheet, water_contents_pct
from compaction.calculations.moisture_specimens import specimen_findings
from compaction.calculations.sheet_check import printed_figure
from compaction.examples.check import Check
from compaction.examples.figures import si
from compaction.examples.topic import Example, Topic
from compaction.facts import WaterContentReading

_TOO_SMALL = "moisture-specimen-too-small"


def run(example: Example, check: Check) -> None:
    """Cans first, then conversions, drying and dials, as far as they are given."""
    _cans(example, check)
    for place, conversion in enumerate(example.get("conversions", []), 1):
        worked_pct = moisture.wet_to_dry_basis_pct(si(conversion["wet_basis"], f"conversions[{place}].wet_basis"))
        check.figure(f"dry basis of {conversion['wet_basis']}", conversion["printed"], worked_pct)
    if drying := example.get("drying"):
        dry_kg = moisture.dry_mass_kg(
            wet_mass_kg=si(drying["mass"], "drying.mass"),
            water_content_pct=moisture.wet_to_dry_basis_pct(si(drying["from_wet_basis"], "drying.from_wet_basis")),
        )
        after_pct = moisture.wet_to_dry_basis_pct(si(drying["to_wet_basis"], "drying.to_wet_basis"))
        check.figure("mass after drying", drying["printed"], dry_kg * (1 + after_pct / 100))
    for place, tester in enumerate(example.get("carbide", []), 1):
        dial_pct = si(tester["dial"], f"carbide[{place}].dial")
        worked_pct = moisture.carbide_dry_basis(dial_pct, tester["half_specimen"])
        check.figure(f"dial {tester['dial']}", tester["printed"], worked_pct)


def _cans(example: Example, check: Check) -> None:
    cans = example.get("cans", [])
    lines = [_line(can, f"cans[{place}]") for place, can in enumerate(cans, 1)]
    means = [(group, printed_figure("mean_water_content", text)) for group, text in example.get("printed_means", [])]
    check.found(check_can_sheet(lines, means))
    worked = water_contents_pct(lines)
    for place, (can, value) in enumerate(zip(cans, worked, strict=True), 1):
        check.figure(f"can {place}", can["printed"], value, otherwise=check.where_print_differs)
    for place, text in enumerate(example.get("recomputed_water_contents", []), 1):
        check.figure(f"can {place}, recomputed", text, worked[place - 1])
    if "specimens_too_small" in example:
        reading = WaterContentReading(
            "oven",
            "total",
            cans=tuple(
                {"wet_and_can_kg": one.wet_and_can_kg, "dry_and_can_kg": one.dry_and_can_kg, "can_kg": one.can_kg}
                for one in lines
            ),
        )
        particle_mm = si(example["maximum_particle"], "maximum_particle") * 1000
        found = [one.code for one in specimen_findings(reading, maximum_particle_mm=particle_mm)]
        check.same("specimens_too_small", example["specimens_too_small"], found.count(_TOO_SMALL))


def _line(can: Example, key: str) -> CanLine:
    dry_soil = can.get("printed_dry_soil")
    return CanLine(
        wet_and_can_kg=si(can["wet"], f"{key}.wet"),
        dry_and_can_kg=si(can["dry"], f"{key}.dry"),
        can_kg=si(can["can"], f"{key}.can"),
        group=can.get("group", ""),
        printed_dry_soil=None if dry_soil is None else printed_figure("dry_soil", dry_soil),
        printed_water_content=printed_figure("water_content", can["printed"]),
    )


WATER_CONTENT = Topic(
    code="water_content",
    title="Water content",
    run=run,
    keys={
        "cans": "cans with `wet`, `dry`, `can`, `printed` (the water content), and where they have them `group` and "
        "`printed_dry_soil`",
        "printed_means": "pairs of a group and its printed mean",
        "recomputed_water_contents": "water contents of the cans in order, worked by another hand",
        "maximum_particle": "largest particle, with `specimens_too_small`",
        "specimens_too_small": "number of cans below the smallest specimen for that particle",
        "conversions": "pairs with `wet_basis` and `printed`, the water content of the dry mass",
        "drying": "`mass` dried `from_wet_basis` `to_wet_basis`, and the `printed` mass after it",
        "carbide": "dials with `dial`, `half_specimen` (true or false) and `printed`, the water content",
    },
)
