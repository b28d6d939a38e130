"""What registered instruments, counts and certificates say about a test: each finding at its edge, and when silent."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from compaction import evaluation
from compaction.facts import EvaluationInputs
from compaction.instrument_facts import ApparatusFacts, CertificateFacts, StandardCountFacts
from tests.evaluation.builders import PERFORMED_AT, cone_body, gauge_body, inputs, reference, specification

DAY = date(2026, 6, 3)
PAIR = ApparatusFacts("C-3", "sand_cone", date(2026, 5, 1), None, {"cone_and_plate_mass": Decimal("1.612")}, rev=1)
SAND = ApparatusFacts(
    "S-7",
    "sand",
    date(2026, 5, 20),
    DAY,
    {"sand_bulk_density": Decimal(1412)},
    rev=1,
    belongs_to="C-3",
)
GAUGE = ApparatusFacts("G-7", "nuclear_gauge", date(2026, 1, 1), None, rev=1)


def found(body: dict[str, Any], **more: Any) -> list[str]:
    """Codes of the findings that the records add."""
    given = inputs(body, reference=reference(), specification=specification(), **more)
    bare = replace(given, apparatus=tuple(replace(one, rev=0) for one in given.apparatus), standard_counts={},
                   certificates=())  # fmt: skip
    without = {item.code for item in evaluation.evaluate(bare).findings}
    return [item.code for item in evaluation.evaluate(given).findings if item.code not in without]


def cone(readings: dict[str, str] | None = None, **apparatus: str) -> dict[str, Any]:
    body = cone_body(apparatus=apparatus or {"cone": "C-3"})
    body["readings"] = {**body["readings"], **(readings or {})}
    return body


@pytest.mark.parametrize(
    ("used", "codes"),
    [
        ("1612 g", []),
        ("1613.6 g", []),  # 0.099 %: rounding
        ("1613.7 g", ["cone-correction-differs"]),
        ("1590 g", ["cone-correction-differs"]),
    ],
)
def test_the_cone_correction_is_that_of_the_pair(used: str, codes: list[str]) -> None:
    assert found(cone({"cone_and_plate_mass": used}), apparatus=(PAIR,)) == codes


def test_the_newest_record_that_had_begun_is_the_one_compared_with() -> None:
    later = replace(PAIR, rev=2, valid_from=DAY, values={"cone_and_plate_mass": Decimal("1.640")})
    not_yet = replace(later, rev=3, valid_from=DAY + timedelta(days=1))
    assert found(cone(), apparatus=(PAIR, later)) == ["cone-correction-differs"]
    assert found(cone(), apparatus=(PAIR, not_yet)) == []


@pytest.mark.parametrize("apparatus", [{"cone": "C-3"}, {"cone": "C-3", "sand": "S-7"}])
def test_sand_named_or_belonging_to_the_pair(apparatus: dict[str, str]) -> None:
    assert found(cone(**apparatus), apparatus=(PAIR, SAND)) == []
    off = cone({"sand_bulk_density": "1.42 g/cm3"}, **apparatus)
    assert found(off, apparatus=(PAIR, SAND)) == ["sand-density-differs"]
    old = replace(SAND, valid_until=DAY - timedelta(days=1))
    assert found(cone(**apparatus), apparatus=(PAIR, old)) == ["sand-density-out-of-date"]


def test_old_sand_is_told_once() -> None:
    old = replace(SAND, valid_until=DAY - timedelta(days=1))
    given = inputs(cone(cone="C-3", sand="S-7"), apparatus=(PAIR, old))
    codes = [item.code for item in evaluation.evaluate(given).findings]
    assert "apparatus-out-of-date" not in codes
    assert codes.count("sand-density-out-of-date") == 1


def test_a_doubtful_calibration_is_told_where_it_is_used() -> None:
    doubtful = replace(PAIR, faults=("calibration-out-of-spread",))
    assert found(cone(), apparatus=(doubtful,)) == ["calibration-doubtful"]


def test_a_cylinder_of_another_volume() -> None:
    cylinder = ApparatusFacts(
        "D-1", "cylinder", date(2026, 1, 1), None, {"cylinder_volume": Decimal("0.000944")}, rev=1
    )
    body = cone_body(
        method="drive_cylinder",
        apparatus={"cylinder": "D-1"},
        readings={"cylinder_and_soil_mass": "2900 g", "cylinder_mass": "980 g", "cylinder_volume": "944 cm3"},
    )
    assert found(body, apparatus=(cylinder,)) == []
    body["readings"]["cylinder_volume"] = "950 cm3"
    assert found(body, apparatus=(cylinder,)) == ["cylinder-volume-differs"]


def test_records_from_before_calibrations_were_kept_say_what_they_said() -> None:
    old = replace(PAIR, rev=0, values={"cone_and_plate_mass": Decimal("1.5")})
    with_values = inputs(cone(), apparatus=(old,))
    without = inputs(cone(), apparatus=(replace(old, values={}),))
    assert evaluation.inputs_digest(with_values) == evaluation.inputs_digest(without)
    assert found(cone(), apparatus=(old,)) == []


# ---- standard counts -----------------------------------------------------------------------------
def count(hours_before: float = 2, *, accepted: bool = True, density: int = 2874, days: int = 1) -> StandardCountFacts:
    taken = PERFORMED_AT - timedelta(hours=hours_before)
    return StandardCountFacts("G-7", taken, (density,), (660,), accepted, serves_days=days)


def gauged(*counts: StandardCountFacts, apparatus: tuple[ApparatusFacts, ...] = (GAUGE,)) -> list[str]:
    body = gauge_body(wet="127.8 pcf", water_content="12.4 %")
    return found(body, standard_counts={"G-7": counts} if counts else {}, apparatus=apparatus)


def test_a_gauge_of_which_no_counts_are_kept_says_nothing() -> None:
    assert gauged() == []


def test_a_count_before_the_test_on_its_day() -> None:
    # The test is at 09:15 by its own clock, which is 15:15 UTC: 9 hours before is still its day, 10 is not.
    assert gauged(count(2)) == []
    assert gauged(count(9)) == []
    assert gauged(count(10)) == ["standard-count-missing"]
    assert gauged(count(30), count(-1)) == ["standard-count-missing"]


def test_tests_from_before_counts_were_kept_are_left_alone() -> None:
    assert gauged(count(-24)) == []
    stated = replace(GAUGE, count_interval_days=1)
    assert gauged(apparatus=(stated,)) == ["standard-count-missing"]


def test_a_weekly_count_serves_seven_days() -> None:
    weekly = replace(GAUGE, count_interval_days=7)
    assert gauged(count(24 * 6), apparatus=(weekly,)) == []
    assert gauged(count(24 * 7), apparatus=(weekly,)) == ["standard-count-missing"]
    assert gauged(count(24 * 6, days=7)) == []


def test_a_rejected_count_serves_nobody_until_it_is_repeated() -> None:
    assert gauged(count(3, accepted=False)) == ["standard-count-rejected"]
    assert gauged(count(3, accepted=False), count(2)) == []


def test_the_count_in_the_reading_is_that_on_file() -> None:
    assert gauged(count(2, density=2880)) == ["standard-count-differs"]
    four = replace(count(2), density_counts=(2872, 2874, 2876, 2875))
    assert gauged(four) == []  # 2,874 is one of them
    mean = replace(count(2), density_counts=(2873, 2876))
    assert gauged(mean) == []  # 2,874.5 rounds to 2,874 or 2,875, as the display does it
    assert gauged(replace(mean, density_counts=(2874 - 5, 2874 + 8))) == ["standard-count-differs"]


# ---- certificates --------------------------------------------------------------------------------
def certificate(**changes: Any) -> CertificateFacts:
    return replace(CertificateFacts("a.technician", "sand_cone", date(2025, 1, 1), DAY), **changes)


@pytest.mark.parametrize(
    ("kept", "codes"),
    [
        ((), []),
        ((certificate(),), []),
        ((certificate(valid_until=DAY - timedelta(days=1)),), ["operator-certificate-out-of-date"]),
        ((certificate(valid_from=DAY + timedelta(days=1), valid_until=None),), ["operator-certificate-missing"]),
        ((certificate(person="b.other"),), ["operator-certificate-missing"]),
        ((certificate(person="b.other", subject="all"),), ["operator-certificate-missing"]),
        ((certificate(subject="all"),), []),
        ((certificate(person="b.other", subject="nuclear_gauge"),), []),  # kept for gauges only
        ((certificate(person="b.other", subject="radiation_safety"),), []),
        ((certificate(valid_until=DAY - timedelta(days=1)), certificate(valid_until=None)), []),
    ],
)
def test_certificates_are_wanted_where_the_project_keeps_them(
    kept: tuple[CertificateFacts, ...], codes: list[str]
) -> None:
    assert found(cone_body(), certificates=kept) == codes


def test_a_gauge_test_wants_radiation_safety_too() -> None:
    body = gauge_body(wet="127.8 pcf", water_content="12.4 %")
    kept = (certificate(subject="nuclear_gauge"), certificate(person="b.other", subject="radiation_safety"))
    assert found(body, certificates=kept, apparatus=(GAUGE,)) == ["operator-certificate-missing"]


# ---- holds ---------------------------------------------------------------------------------------
def evaluated(*held: str) -> tuple[EvaluationInputs, Any]:
    given = inputs(
        cone({"cone_and_plate_mass": "1590 g"}),
        reference=reference(),
        specification=specification(held_findings=held),
        apparatus=(PAIR,),
    )
    return given, evaluation.evaluate(given)


def test_a_finding_holds_only_if_the_specification_says_so() -> None:
    plain_inputs, plain = evaluated()
    _, other = evaluated("operator-certificate-missing")
    held_inputs, held = evaluated("cone-correction-differs")
    assert [item.severity for item in plain.findings if item.code == "cone-correction-differs"] == ["validity"]
    assert plain.holds == other.holds == ()
    assert [item.code for item in held.holds] == ["cone-correction-differs"]
    assert (held.result, held.figures) == (plain.result, plain.figures)
    assert evaluation.inputs_digest(plain_inputs) != evaluation.inputs_digest(held_inputs)
    assert evaluation.digest(plain) != evaluation.digest(held)


def test_the_digest_names_what_is_found_and_not_what_is_filed() -> None:
    """One more count that changes nothing leaves the inputs' digest, so nothing is stored anew."""
    body = gauge_body(wet="127.8 pcf", water_content="12.4 %")

    def digest(*counts: StandardCountFacts) -> str:
        return evaluation.inputs_digest(inputs(body, standard_counts={"G-7": counts}, apparatus=(GAUGE,)))

    assert digest(count(2)) == digest(count(2), count(1)) == digest()
    assert digest(count(3, accepted=False)) != digest()
    assert datetime(2026, 6, 3, 15, 15, tzinfo=UTC) == PERFORMED_AT
