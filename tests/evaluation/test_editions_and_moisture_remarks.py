"""Tables of holes and moisture specimens by edition, and what a sand cone or a carbide dial asks of a specimen."""

from dataclasses import replace
from typing import Any

import pytest

from compaction import evaluation
from compaction.calculations.errors import ReadingsError
from compaction.facts import Outcome, SoilFacts
from compaction.records import specification
from tests.evaluation import builders

# (6842 - 2871 - 1612) / 1.412 = 1671 cm3
CONE = builders.cone_body()["readings"]
CAN = {"can": "A1", "wet_and_can": "230 g", "dry_and_can": "210 g", "can_mass": "30 g"}  # 200 g moist


def outcome(*, editions: tuple[tuple[str, str], ...] = (), soil: SoilFacts | None = None, **body: Any) -> Outcome:
    facts = replace(builders.specification(), editions=editions)
    reference = replace(builders.reference(), soil=soil)
    return evaluation.evaluate(builders.inputs(builders.cone_body(**body), reference=reference, specification=facts))


def found(outcome: Outcome, code: str) -> list[str]:
    return [one.sentence for one in outcome.findings if one.code == code]


@pytest.mark.parametrize(
    ("year", "particle", "codes", "edition"),
    [
        ("", "50 mm", ["particle-beyond-method"], ""),  # the newest ends at 37.5 mm
        ("2015", "50 mm", ["particle-beyond-method"], ""),
        ("1996", "50 mm", ["hole-too-small"], "edition of 1990"),  # the older one goes on: 2830 cm3
        ("1996", "4.75 mm", [], "edition of 1990"),  # 700 cm3
        ("", "25 mm", ["hole-too-small"], "edition of 2000"),
    ],
)
def test_the_specification_chooses_the_edition_and_worksheet_and_finding_name_it(
    year: str, particle: str, codes: list[str], edition: str
) -> None:
    one = outcome(editions=(("ASTM D1556", year),) if year else (), maximum_particle=particle)
    of_holes = [item for item in one.findings if item.code in ("hole-too-small", "particle-beyond-method")]
    assert [item.code for item in of_holes] == codes
    steps = [step.note for step in one.steps if step.id == "smallest-hole"]
    assert [edition in note for note in steps] == ([True] if edition else [])
    assert all(edition in item.sentence for item in of_holes if edition)


def test_a_sand_cone_that_names_its_standard_wants_its_moisture_specimen() -> None:
    cans = [{"method": "oven", "fraction": "total", "cans": [CAN]}]
    named = {"readings": CONE | {"standard": "ASTM D1556"}, "water_contents": cans}
    assert found(outcome(**named, maximum_particle="4.75 mm"), "moisture-specimen-too-small") == []  # 100 g
    small = outcome(**named, maximum_particle="12.5 mm")
    assert "at least 250 g" in found(small, "moisture-specimen-too-small")[0]
    assert small.result == outcome(**named, maximum_particle="4.75 mm").result
    own = [cans[0] | {"standard": "d2216_a"}]  # 50 g up to 9.5 mm: its own table goes before
    assert (
        found(outcome(**named | {"water_contents": own}, maximum_particle="9.5 mm"), "moisture-specimen-too-small")
        == []
    )


def test_a_sand_cone_without_a_standard_is_left_as_it_was() -> None:
    unnamed: dict[str, Any] = {
        "water_contents": [{"method": "oven", "fraction": "total", "cans": [CAN]}], "maximum_particle": "12.5 mm",
    }  # fmt: skip
    assert found(outcome(**unnamed), "moisture-specimen-too-small") == []
    by_contract = outcome(editions=(("ASTM D1556", "2015"),), **unnamed)
    assert found(by_contract, "moisture-specimen-too-small")


@pytest.mark.parametrize(
    ("soil", "dial", "remarked"),
    [
        (SoilFacts("S-1", 1, group_symbol="GP-GM"), "12.1 %", True),
        (SoilFacts("S-1", 1, group_symbol="GP-GM"), "12 %", False),
        (SoilFacts("S-1", 1, aashto_group="A-1-a"), "14 %", True),
        (SoilFacts("S-1", 1, group_symbol="CL"), "14 %", False),
        (None, "14 %", False),
    ],
)
def test_a_carbide_dial_for_aggregate_ends_at_twelve(soil: SoilFacts | None, dial: str, remarked: bool) -> None:
    water = [{"method": "carbide", "fraction": "total", "standard": "t217", "dial": dial}]
    assert bool(found(outcome(soil=soil, water_contents=water), "carbide-dial-beyond-aggregate")) is remarked
    unnamed = [{"method": "carbide", "fraction": "total", "dial": dial}]
    assert found(outcome(soil=soil, water_contents=unnamed), "carbide-dial-beyond-aggregate") == []


def test_editions_are_read_strictly_and_leave_other_digests_alone() -> None:
    body = {"title": "x", "criteria": [{"quantity": "percent_compaction", "minimum": "95 %"}]}
    plain = specification.read(body, code="S", rev=1).facts
    dated = specification.read(body | {"editions": {"ASTM D1556": "2015"}}, code="S", rev=1).facts
    assert dated.editions == (("ASTM D1556", "2015"),)
    assert plain.digest != dated.digest
    for wrong in ({"ASTM D1556": "15"}, {"ASTM D9999": "2015"}, {"ASTM D1556": 2015}, {}):
        with pytest.raises(ReadingsError):
            specification.read(body | {"editions": wrong}, code="S", rev=1)
