"""The demo as it stands after it was played: what the service made of it, story by story."""

from collections import Counter
from datetime import timedelta
from decimal import Decimal

import pytest

from compaction.actions import reassessment
from compaction.demo import gauge_checks
from compaction.demo.events import FieldTest
from compaction.evaluation import gauge_comparison
from compaction.models import Decision, Failure, PlacementVersion, Rework, Test, TestOutcome, TestVersion
from compaction.queries import coverage, gauge_comparisons
from compaction.queries.gauge_corrections import correction_lines
from compaction.queries.rows import placement_rows, story
from compaction.register import FAIL
from projects import journal
from projects.models import StaleWork
from tests.demo.conftest import Loaded

pytestmark = pytest.mark.django_db


def outcomes(uuid: str) -> list[str]:
    """Every result that a test has had, in order."""
    return list(
        TestOutcome.objects.filter(test_version__test__client_uuid=uuid).order_by("id").values_list("result", flat=True)
    )


# ---- the whole ---------------------------------------------------------------------------------------
def test_the_journal_holds_and_a_rebuild_agrees(loaded: Loaded) -> None:
    assert journal.verify(loaded.player.project) == []
    assert reassessment.rebuild_check(loaded.player.project) == []
    assert [row for row in StaleWork.objects.all() if row.error or row.computed_rev < row.dirty_rev] == []


def test_every_planned_test_is_there_and_located(loaded: Loaded) -> None:
    planned = {str(test.id) for test in loaded.scenario.tests}
    assert planned <= set(loaded.tests)
    drain = [row for row in loaded.tests.values() if row.zone == "toe-drain"]
    assert len(loaded.tests) - len(planned) - len(drain) == 1  # the one entered twice
    assert [row.label for row in loaded.tests.values() if row.longitude is None or row.elevation_m is None] == []
    assert Counter(row.zone for row in loaded.tests.values())["fill"] > 300


def test_ten_to_fifteen_percent_of_first_tests_fail(loaded: Loaded) -> None:
    firsts = [row for row in loaded.tests.values() if not row.retest_of and not row.check_of]
    failed = [row for row in firsts if row.uuid in loaded.failures]
    assert 0.10 <= len(failed) / len(firsts) <= 0.15


def test_the_service_comes_to_the_verdict_that_was_planned(loaded: Loaded) -> None:
    """On arrival: what the field saw. Where a sheet named the wrong reference, the plan knows better."""
    differ = [test.name for test in loaded.scenario.tests if not test.posted and _arrived(test) != bool(test.fails)]
    assert differ == []


def _arrived(test: FieldTest) -> bool:
    return outcomes(str(test.id))[0] == FAIL


def test_every_failure_is_mended_and_closed_but_for_the_stories(loaded: Loaded) -> None:
    open_ = {row.root.label: row.state for row in loaded.failures.values() if row.closed_at is None and row.root}
    names = ("buried-failure", "revision-pass-to-fail", "failing-on-hold", "failed-this-morning")
    assert {label for label, state in open_.items() if state == "open"} == {loaded.story(name).label for name in names}
    closed = [row for row in loaded.failures.values() if row.state == "closed"]
    assert len(closed) > 30
    assert [row.root_test for row in closed if row.basis_changed] == []
    retested = {row.retest_of for row in loaded.tests.values()}
    unmended = [row for row in closed if row.root_test not in retested]
    assert [row.root_test for row in unmended] == [loaded.story("revision-fail-to-pass").uuid]


def test_every_retest_has_a_rework_before_it(loaded: Loaded) -> None:
    chains = {(row.root_test, row.uuid) for row in Failure.objects.filter(project=loaded.player.project)}
    without = []
    for row in loaded.tests.values():
        root = row
        while root.retest_of:
            root = loaded.tests[root.retest_of]
        failures = [uuid for root_test, uuid in chains if str(root_test) == root.uuid]
        since = loaded.tests[row.retest_of].performed_at if row.retest_of else row.performed_at
        works = Rework.objects.filter(
            failure_uuid__in=failures, performed_at__gt=since, performed_at__lt=row.performed_at
        )
        if row.retest_of and not works.exists():
            without.append(row.label)
    assert without == []


def test_engineers_close_in_batches_at_the_end_of_the_day(loaded: Loaded) -> None:
    closings = Decision.objects.filter(subject_kind="failure", meaning="closed")
    by_moment = Counter(closings.values_list("decided_at", flat=True))
    assert max(by_moment.values()) >= 3
    assert {person for person in closings.values_list("person", flat=True)} == {"k.averel", "h.lisle"}


# ---- the stories ---------------------------------------------------------------------------------------
def test_moisture_alone_can_fail(loaded: Loaded) -> None:
    row = loaded.story("moisture-only-failure")
    assert (row.density_result, row.moisture_result) == ("pass", "fail")
    assert loaded.failure("moisture-only-failure").kind == "moisture"
    assert Rework.objects.get(failure_uuid=loaded.failure("moisture-only-failure").uuid).method == "dried"


def test_two_failed_attempts_before_one_passes(loaded: Loaded) -> None:
    assert [row.result for row in loaded.retests("two-failed-attempts")] == ["fail", "fail", "pass"]
    assert loaded.failure("two-failed-attempts").state == "closed"


def test_a_check_beside_is_no_retest(loaded: Loaded) -> None:
    beside = [row for row in loaded.tests.values() if row.check_of == loaded.story("check-beside").uuid]
    assert [row.label for row in beside] == [f"{loaded.story('check-beside').label}C"]


def test_provisional_pass_becomes_a_failure_with_the_oven(loaded: Loaded) -> None:
    told = story(loaded.opened, loaded.story("provisional-then-oven").uuid)
    assert told is not None
    assert [version.reason_code for version in told.versions] == ["", "oven-water-content"]
    assert told.versions[1].author == "i.maddern"
    assert outcomes(told.row.uuid) == ["pass", "fail"]
    assert "field-moisture" in told.outcomes[0].content
    assert told.row.basis == "final"
    assert loaded.failure("provisional-then-oven").state == "closed"


def test_what_is_tested_today_where_the_oven_counts_is_provisional(loaded: Loaded) -> None:
    provisional = [row for row in loaded.tests.values() if row.basis == "provisional"]
    assert provisional
    assert {row.zone for row in provisional} == {"abutment"}
    assert {row.performed_at.astimezone(loaded.scenario.ends_at.tzinfo).date() for row in provisional} == {
        loaded.scenario.days[-1]
    }


def test_oversize_decides(loaded: Loaded) -> None:
    told = story(loaded.opened, loaded.story("oversize-decides").uuid)
    assert told is not None
    dry = told.outcome.figures["dry_density_kgm3"]
    assert 100 * dry / told.outcome.figures["reference_maximum_dry_density_kgm3"] > 99
    assert told.outcome.figures["percent_compaction"] < 94
    assert told.row.result == "fail"
    assert "printed-figure-differs" in told.row.finding_codes


def test_a_wrong_proctor_is_found_and_amended(loaded: Loaded) -> None:
    told = story(loaded.opened, loaded.story("wrong-proctor").uuid)
    assert told is not None
    assert outcomes(told.row.uuid) == ["pass", "fail"]
    assert [outcome.reference.split()[0] for outcome in told.outcomes] == ["P-101", "P-102"]
    assert told.versions[1].reason_code == "wrong-reference"
    assert [row.result for row in loaded.retests("wrong-proctor")][-1] == "pass"


def test_a_late_upload_arrives_more_than_a_day_later(loaded: Loaded) -> None:
    row = loaded.story("late-upload")
    assert row.received_at - row.performed_at > timedelta(days=1)
    assert "entered-late" in row.finding_codes


def test_a_failing_test_on_hold_has_an_open_failure(loaded: Loaded) -> None:
    row = loaded.story("failing-on-hold")
    assert row.open_holds == ("above-zero-air-voids",)
    assert (row.result, loaded.failure("failing-on-hold").state) == ("fail", "open")


def test_a_hold_is_released_by_another_person(loaded: Loaded) -> None:
    row = loaded.story("hold-released")
    assert row.open_holds == ()
    assert "above-zero-air-voids" in row.finding_codes
    ruling = Decision.objects.get(subject=row.uuid, meaning="hold_released")
    assert ruling.person == "r.sandoe" != row.technician


def test_a_slip_is_amended_by_whoever_wrote_it(loaded: Loaded) -> None:
    first, second = TestVersion.objects.filter(test__client_uuid=loaded.story("amended-own-slip").uuid).order_by(
        "version"
    )
    assert (second.reason_code, second.author) == ("own-slip", loaded.story("amended-own-slip").technician)
    assert first.content != second.content


def test_what_was_entered_twice_is_voided_alone_on_the_same_day(loaded: Loaded) -> None:
    row = loaded.story("void-own-slip")
    twins = Test.objects.filter(label=row.label).order_by("voided")
    assert [twin.voided for twin in twins] == [False, True]
    ruling = Decision.objects.get(subject=str(twins[1].client_uuid))
    assert (ruling.meaning, ruling.person, ruling.second_person) == ("voided", row.technician, "")


def test_a_void_takes_two_persons_and_withdraws_the_failure(loaded: Loaded) -> None:
    row = loaded.story("void-two-persons")
    assert row.voided
    ruling = Decision.objects.get(subject=row.uuid, meaning="voided")
    assert (ruling.person, ruling.second_person) == ("r.sandoe", row.technician)
    assert loaded.failure("void-two-persons").state == "withdrawn"


def test_a_failure_is_buried_under_the_next_lift(loaded: Loaded) -> None:
    failure = loaded.failure("buried-failure")
    assert (failure.buried, failure.state) == (True, "open")
    assert failure.buried_by.startswith("lift 9 placed")


def test_the_exempt_area_asks_for_nothing(loaded: Loaded) -> None:
    row = loaded.story("exempt-area")
    assert (row.exempt, row.result, row.purpose) == (True, "no_criterion", "information")


def test_one_strip_of_a_lift_is_placed_and_not_tested(loaded: Loaded) -> None:
    [strip] = [row for row in placement_rows(loaded.opened, lift=7) if row.station_from == "31+00"]
    start, end = 3100 * 0.3048, 3400 * 0.3048
    assert strip.station_to == "34+00"
    assert not [
        row
        for row in loaded.tests.values()
        if row.lift == 7 and row.station_m is not None and start <= float(row.station_m) <= end
    ]
    assert PlacementVersion.objects.count() == 12 * 4 + 1


def test_a_revision_turns_a_pass_into_a_buried_failure(loaded: Loaded) -> None:
    row = loaded.story("revision-pass-to-fail")
    told = story(loaded.opened, row.uuid)
    assert told is not None
    assert outcomes(row.uuid) == ["pass", "fail"]
    assert told.outcomes[1].cause == "reference P-102 rev 2 approved"
    assert loaded.failure("revision-pass-to-fail").buried


def test_a_revision_turns_a_fail_into_a_pass_that_the_engineer_closes(loaded: Loaded) -> None:
    row = loaded.story("revision-fail-to-pass")
    assert outcomes(row.uuid) == ["fail", "pass"]
    failure = loaded.failure("revision-fail-to-pass")
    assert (failure.state, failure.buried) == ("closed", False)
    assert loaded.retests("revision-fail-to-pass") == []


def test_accepted_as_is_and_removed_and_replaced(loaded: Loaded) -> None:
    assert loaded.failure("accepted-as-is").state == "accepted_as_is"
    assert loaded.failure("removed-and-replaced").state == "removed_and_replaced"
    assert Rework.objects.get(failure_uuid=loaded.failure("removed-and-replaced").uuid).method == "removed"


def test_a_retest_arrives_before_its_parent(loaded: Loaded) -> None:
    row = loaded.story("retest-before-parent")
    [retest] = loaded.retests("retest-before-parent")
    assert retest.received_at < row.received_at
    assert loaded.failure("retest-before-parent").state == "closed"


def test_the_satellite_fix_disagrees_by_a_whole_station(loaded: Loaded) -> None:
    told = story(loaded.opened, loaded.story("gps-disagrees").uuid)
    assert told is not None
    [finding] = [item for item in told.outcome.findings if item.code == "gps-disagrees"]
    assert finding.numbers["pattern"] == "station"
    assert [row.label for row in loaded.tests.values() if "gps-disagrees" in row.finding_codes] == [told.row.label]


def test_this_morning_shows_a_failure_in_each_state(loaded: Loaded) -> None:
    states = {
        name: loaded.failure(name).state for name in ("failed-this-morning", "awaiting-retest", "awaiting-closing")
    }
    assert states == {
        "failed-this-morning": "open",
        "awaiting-retest": "reworked",
        "awaiting-closing": "passed_on_retest",
    }


def test_the_sand_of_the_drain_is_judged_by_relative_density(loaded: Loaded) -> None:
    """By hand: 100 (d - 92.4) 112.8 / (20.4 d) with d = 107.8, 106.5 and 109.2 pcf."""
    drain = {row.label: row for row in loaded.tests.values() if row.zone == "toe-drain"}
    judged = {label: row.relative_density_judged for label, row in drain.items()}
    assert judged == {"TD-1": 79, "TD-2": 73, "TD-3": 85}
    assert {row.percent_compaction for row in drain.values()} == {None}
    assert {(row.result, row.basis) for row in drain.values()} == {("pass", "final")}


def test_one_point_on_the_family_agrees_with_the_curve_that_was_named(loaded: Loaded) -> None:
    version = TestVersion.objects.get(content__contains='"reference_choice":{', test__project=loaded.player.project)
    told = story(loaded.opened, str(version.test.client_uuid))
    assert told is not None
    assert told.row.reference_code == "P-102"
    figures = told.outcome.figures
    assert abs(figures["one_point_maximum_dry_density_kgm3"] - figures["reference_maximum_dry_density_kgm3"]) < 35
    assert 80 <= figures["one_point_of_optimum_pct"] <= 100
    assert not [finding for finding in told.outcome.findings if finding.code.startswith("one-point")]


# ---- a gauge against the sand cone ---------------------------------------------------------------------
def test_a_dozen_pairs_show_moisture_reading_high_and_one_outlier_of_wet_density(loaded: Loaded) -> None:
    [found] = [
        line.found
        for line in gauge_comparisons.comparisons(loaded.opened)
        if (line.found.key.gauge, line.found.key.reference) == (gauge_checks.GAUGE, gauge_checks.REFERENCE)
    ]
    water, wet = found.of("water_content"), found.of("wet_density")
    assert len(water.pairs) == 12
    assert water.found is not None
    assert wet.found is not None
    assert round(water.found.mean_difference, 6) == Decimal("0.7")
    assert (water.judged.verdict, wet.judged.verdict, wet.found.biased) == ("outside", "within", False)
    assert len(wet.found.outliers) == 1
    assert gauge_comparison.propose(found, density_unit="pcf").water_offset == "-0.7 %"
    assert gauge_comparison.propose(found, density_unit="pcf").density_offset == ""


def test_the_adopted_correction_reaches_back_to_that_morning_and_no_further(loaded: Loaded) -> None:
    [line] = correction_lines(loaded.opened)
    assert line.in_force
    assert (line.author, line.adoption and line.adoption.person, len(line.pairs)) == ("r.sandoe", "k.averel", 12)
    reached = [row for row in loaded.tests.values() if "gauge-correction-applied" in row.finding_codes]
    assert len(reached) > 20
    assert {row.reference_code for row in reached} == {gauge_checks.REFERENCE}
    days = [row.performed_at.astimezone(loaded.scenario.ends_at.tzinfo).date() for row in reached]
    assert min(days) == loaded.scenario.days[gauge_checks.effective_day()] == line.facts.effective_from
    again = TestOutcome.objects.filter(cause=f"correction of gauge {gauge_checks.GAUGE} adopted")
    assert 2 <= again.count() <= 6


def test_lifts_are_released_short_failed_and_placed_over_unreleased_ones(loaded: Loaded) -> None:
    rows = {(one.area, one.lift): one for one in coverage.lift_rows(loaded.opened)}
    short = rows["Abutment tie-in", 1]
    assert (short.state, short.required, short.made) == ("short", 7, 6)
    assert rows["Abutment tie-in", 2].over_unreleased
    failed = rows["Middle reach", 8]
    assert (failed.state, failed.buried) == ("failed", 1)
    assert rows["Middle reach", 9].over_unreleased
    signed = rows["North reach", 7]
    assert (signed.state, signed.signed_by) == ("released", "k.averel")
    assert "scrapers" in signed.not_tested
    assert sum(one.state == "released" for one in rows.values()) > 30
    assert {one.scope: one.short for one in coverage.checks(loaded.opened) if one.rule.startswith("Laboratory")}
