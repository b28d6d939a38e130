"""The record of a specification with conditions: what is refused, and at which pointer; drafts; differences."""

from typing import Any

import pytest

from compaction.calculations.errors import ReadingsError
from compaction.facts import NO_CONDITIONS
from compaction.records import specification
from compaction.records.criterion_words import sentence
from compaction.records.specification_diff import differences
from compaction.records.specification_drafts import DRAFTS

PLAIN: dict[str, Any] = {"quantity": "percent_compaction", "minimum": "95 %"}


def body(*criteria: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"title": "T", "criteria": list(criteria) or [PLAIN], **more}


def read(*criteria: dict[str, Any], **more: Any) -> specification.SpecificationRecord:
    return specification.read(body(*criteria, **more), code="S-1", rev=1)


@pytest.mark.parametrize(
    ("changes", "pointer", "code"),
    [
        ({"plasticity_index": {}}, "/criteria/0/plasticity_index", "range-unclear"),
        ({"plasticity_index": {"at_least": "1 %", "above": "1 %"}}, "/criteria/0/plasticity_index", "range-unclear"),
        ({"plasticity_index": {"at_least": "9 %", "below": "1 %"}}, "/criteria/0/plasticity_index", "limits-crossed"),
        ({"plasticity_index": {"above": "15 ft"}}, "/criteria/0/plasticity_index/above", "unit-unknown"),
        ({"plasticity_index": 15}, "/criteria/0/plasticity_index", "not-an-object"),
        ({"group_symbols": "CL"}, "/criteria/0/group_symbols", "not-a-list"),
        ({"group_symbols": []}, "/criteria/0/group_symbols", "not-a-list"),
        ({"group_symbols": [7]}, "/criteria/0/group_symbols/0", "text-not-plain"),
        ({"methods": ["by_eye"]}, "/criteria/0/methods/0", "not-a-choice"),
        ({"structure_distance": {"at_most": "3 ft"}}, "/criteria/0/structure", "missing"),
        ({"minimum": "95 pcf"}, "/criteria/0/minimum", "unit-of-another-quantity"),
        ({"quantity": "dry_density"}, "/criteria/0/minimum", "unit-of-another-quantity"),
        ({"equals": "6 in"}, "/criteria/0/equals", "not-for-this-quantity"),
        ({"depth_to": "2000 m"}, "/criteria/0/depth_to", "out-of-range"),
        ({"statistic": "best"}, "/criteria/0/statistic", "not-a-choice"),
        ({"wind": "3 m"}, "/criteria/0/wind", "unknown-name"),
    ],
)
def test_what_a_criterion_cannot_say(changes: dict[str, Any], pointer: str, code: str) -> None:
    with pytest.raises(ReadingsError) as told:
        read(PLAIN | changes)
    assert (told.value.errors[0].pointer, told.value.errors[0].code) == (pointer, code)


@pytest.mark.parametrize(
    ("more", "pointer"),
    [
        ({"purposes": []}, "/purposes"),
        ({"purposes": ["fun"]}, "/purposes"),
        ({"retest": {"passing_retests": 0}}, "/retest/passing_retests"),
        ({"retest": {"closed_by": "owner"}}, "/retest/closed_by"),
        ({"retest": {"distance": "0 ft"}}, "/retest/distance"),
        ({"certainty": "sure"}, "/certainty"),
    ],
)
def test_what_a_revision_cannot_say(more: dict[str, Any], pointer: str) -> None:
    with pytest.raises(ReadingsError) as told:
        read(**more)
    assert told.value.errors[0].pointer == pointer


def test_problems_of_several_criteria_are_told_together() -> None:
    with pytest.raises(ReadingsError) as told:
        read({"quantity": "saturation"}, PLAIN | {"methods": ["x"]})
    assert [one.pointer for one in told.value.errors] == ["/criteria/0", "/criteria/1/methods/0"]


def test_a_statistic_of_several_tests_only_informs() -> None:
    [criterion] = read(PLAIN | {"statistic": "moving_average"}).facts.criteria
    assert not criterion.contractual
    assert read(PLAIN | {"statistic": "each"}).facts.criteria[0].contractual


def test_a_plain_revision_has_the_digest_it_had() -> None:
    record = read(PLAIN, PLAIN | {"zone": "core", "depth_to": "2 ft"})
    assert all(one.conditions is NO_CONDITIONS for one in record.facts.criteria)
    # from the code as it was before conditions existed
    assert record.facts.digest == DIGEST_BEFORE
    assert read(PLAIN, edition="2026", draft=True, source="here").facts.digest == read(PLAIN).facts.digest
    assert read(PLAIN, purposes=["acceptance"]).facts.digest != read(PLAIN).facts.digest
    assert read(PLAIN, retest={"passing_retests": 2}).facts.digest != read(PLAIN).facts.digest


DIGEST_BEFORE = "951dc3f76e1315184810a6f81ae524710b39de50e58dd688fde6767d5300824a"


@pytest.mark.parametrize("key", DRAFTS)
def test_each_draft_is_readable_and_waits_for_its_contract(key: str) -> None:
    record = specification.read(DRAFTS[key].body, code="S-1", rev=1)
    assert DRAFTS[key].body["source"]
    assert "edition" in specification.still_to_fill_in(record)
    filled = {
        **DRAFTS[key].body,
        "edition": "2026",
        "criteria": [one | {"clause": "as the contract reads"} for one in DRAFTS[key].body["criteria"]],
    }
    assert specification.still_to_fill_in(specification.read(filled, code="S-1", rev=1)) == ""


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            {
                "maximum": "102 %",
                "zone": "core",
                "depth_to": "2 ft",
                "plasticity_index": {"above": "15 %"},
                "reference_methods": ["D698"],
            },
            "percent compaction 95 to 102 % of D698, in core, down to 2 ft below grade, plasticity index above 15 %",
        ),
        (
            {"quantity": "water_content_deviation", "minimum": "0 %"},
            "water content from optimum at or above optimum, everywhere",
        ),
        (
            {"quantity": "water_content_deviation", "minimum": "-2 %", "maximum": "0 %"},
            "water content from optimum from 2 % dry of optimum to optimum, everywhere",
        ),
        ({"statistic": "moving_average"}, "percent compaction at least 95 %, everywhere (moving average over a lot"),
    ],
)
def test_a_criterion_reads_as_a_clause(changes: dict[str, Any], words: str) -> None:
    [criterion] = read(PLAIN | changes).facts.criteria
    assert sentence(criterion, length_unit="ft", density_unit="pcf").startswith(words)


def test_differences_follow_a_criterion_through_a_change_of_number() -> None:
    core = PLAIN | {"zone": "core", "minimum": "98 %"}
    old, new = read(PLAIN, core).facts, read(core, PLAIN | {"minimum": "96 %"}).facts
    [found] = differences(old, new)
    assert (found.kind, found.what) == ("changed", "criterion 2 (was 1)")
    assert "95 %" in found.before
    assert "96 %" in found.after
    assert differences(old, old) == ()


def test_a_change_of_frequency_is_told() -> None:
    rule = {"name": "gauge", "zone": "core", "counters": [{"basis": "volume", "interval": "200 yd3", "minimum": 2}]}
    [found] = differences(read(PLAIN).facts, read(PLAIN, frequency=[rule]).facts)
    assert found.what == "frequency of testing"
    assert found.after.startswith("gauge: one for every 200 yd3 within each lift, at least 2, in core")


def test_added_removed_and_reworded_criteria_are_told_apart() -> None:
    wet = {"quantity": "water_content_deviation", "minimum": "0 %"}
    old = read(PLAIN, wet).facts
    new = read(PLAIN | {"clause": "Ninety-five."}, {"quantity": "lift_thickness", "maximum": "8 in"}).facts
    found = {(one.kind, one.what) for one in differences(old, new)}
    assert found == {("changed", "criterion 1"), ("added", "criterion 2"), ("removed", "criterion 2")}
