"""Registering, counting and certifying reassess what uses the record, and nothing else; each can be seen before."""

import uuid
from datetime import timedelta
from typing import Any

import pytest

from compaction.actions import apparatus, certificates, instrument_previews, reassessment, standard_counts, sweep
from compaction.actions import specifications as specification_actions
from compaction.actions.refusals import ContentConflict, Refused
from compaction.models import ApparatusRecord, Failure, OperatorCertificate, StandardCount, Test, TestOutcome
from compaction.queries import instrument_lists, set_up
from projects import journal
from projects.access import NotAllowed
from projects.models import JournalEvent, StaleWork
from tests.builders import SPECIFICATION, Site, gauge_body, sand_cone_body

PAIR: dict[str, Any] = {
    "kind": "sand_cone",
    "name": "Cone and plate 3",
    "valid_from": "2026-05-01",
    "values": {"cone_and_plate_mass": "1612 g"},
    "calibrations": [{"quantity": "cone_and_plate_mass", "repeats": ["1611 g", "1613 g", "1612 g"]}],
}
SAND: dict[str, Any] = {
    "kind": "sand",
    "belongs_to": "SC-3",
    "valid_from": "2026-06-01",
    "calibrations": [{"quantity": "sand_bulk_density", "repeats": ["1.411 g/cm3", "1.413 g/cm3", "1.412 g/cm3"]}],
}
GAUGE: dict[str, Any] = {"kind": "nuclear_gauge", "valid_from": "2026-01-10", "valid_until": "2027-01-10"}


def register(site: Site, serial: str, body: dict[str, Any], rev: int = 1) -> Any:
    return apparatus.register(opened=site.opened("s.hale"), serial=serial, rev=rev, body=body, now=site.now)


def count(
    site: Site, density: int, at: str = "2026-06-03T07:30:00-06:00", as_: str = "t.moss", **more: Any
) -> uuid.UUID:
    key = uuid.uuid4()
    body = {"serial": "G-1187", "taken_at": at, "density_counts": [density], "moisture_counts": [660], **more}
    standard_counts.enter(opened=site.opened(as_), client_uuid=key, body=body, now=site.now)
    return key


def certify(site: Site, person: str = "t.moss", subject: str = "sand_cone", **more: Any) -> uuid.UUID:
    key = uuid.uuid4()
    body = {"person": person, "subject": subject, "valid_from": "2025-01-01", **more}
    certificates.enter(opened=site.opened("s.hale"), client_uuid=key, body=body, now=site.now)
    return key


def cone(label: str, serial: str = "SC-3", **changes: Any) -> dict[str, Any]:
    return sand_cone_body(label=label, apparatus={"cone": serial}, **changes)


def codes(label: str) -> set[str]:
    return set(Test.objects.get(label=label).finding_codes.split())


def marked() -> set[str]:
    """Labels of the tests that are due to be looked at."""
    keys = [row.key for row in StaleWork.objects.filter(kind="test") if row.computed_rev < row.dirty_rev]
    return set(Test.objects.filter(client_uuid__in=keys).values_list("label", flat=True))


@pytest.mark.both_databases
def test_a_record_reaches_the_tests_that_name_it_and_no_others(site: Site) -> None:
    site.post(cone("201"))
    site.post(cone("202", serial="SC-4"))
    site.post(gauge_body())
    sweep.run_until_idle()
    assert "apparatus-not-registered" in codes("201")
    before = TestOutcome.objects.count()
    register(site, "SC-3", {**PAIR, "values": {"cone_and_plate_mass": "1650 g"}})
    assert marked() == {"201"}
    sweep.run_until_idle()
    assert {"apparatus-not-registered", "cone-correction-differs"} & codes("201") == {"cone-correction-differs"}
    assert "calibration-doubtful" in codes("201")  # the stated mass is not the mean of the repeats
    register(site, "SC-3", PAIR, rev=2)
    sweep.run_until_idle()
    assert "cone-correction-differs" not in codes("201")
    assert TestOutcome.objects.count() == before + 2
    assert TestOutcome.objects.order_by("id").last().cause == "apparatus SC-3 rev 2"  # type: ignore[union-attr]
    assert reassessment.rebuild_check(site.project) == []
    assert journal.verify(site.project) == []


def test_a_result_never_changes_and_nothing_fails_by_a_record(site: Site) -> None:
    site.post(cone("201"))
    sweep.run_until_idle()
    before = Test.objects.get()
    register(site, "SC-3", {**PAIR, "values": {"cone_and_plate_mass": "1650 g"}, "valid_until": "2026-05-02"})
    sweep.run_until_idle()
    after = Test.objects.get()
    assert (after.result, after.percent_compaction, after.open_holds) == (before.result, before.percent_compaction, "")
    assert not Failure.objects.exists()


def test_sand_reaches_the_tests_of_its_pair(site: Site) -> None:
    register(site, "SC-3", PAIR)
    site.post(cone("201"))
    site.post(sand_cone_body(label="202", apparatus={"sand": "S-7"}))
    site.post(cone("203", serial="SC-4"))
    sweep.run_until_idle()
    row = register(site, "S-7", {**SAND, "valid_from": "2026-05-01"}).revision
    assert row.valid_until.isoformat() == "2026-05-15", "14 days where the record states nothing (ASTM D1556)"
    assert marked() == {"201", "202"}
    sweep.run_until_idle()
    assert "sand-density-out-of-date" in codes("201")
    assert "sand-density-out-of-date" in codes("202")
    assert "sand-density-out-of-date" not in codes("203")


def test_the_same_again_is_no_second_record_and_other_content_a_conflict(site: Site) -> None:
    assert register(site, "SC-3", PAIR).created
    assert not register(site, "SC-3", PAIR).created
    with pytest.raises(ContentConflict):
        register(site, "SC-3", {**PAIR, "remarks": "looked at again"})
    assert ApparatusRecord.objects.count() == 1
    key = count(site, 2874)
    body = {
        "serial": "G-1187",
        "taken_at": "2026-06-03T07:30:00-06:00",
        "density_counts": [2874],
        "moisture_counts": [660],
    }
    again = standard_counts.enter(opened=site.opened("t.moss"), client_uuid=key, body=body, now=site.now)
    assert not again.created
    assert again.receipt.seq == JournalEvent.objects.get(kind="standard_count.entered").seq
    with pytest.raises(ContentConflict):
        standard_counts.enter(
            opened=site.opened("t.moss"), client_uuid=key, body={**body, "density_counts": [2875]}, now=site.now
        )
    assert StandardCount.objects.count() == 1


def test_a_record_from_before_contents_were_kept_is_still_known(site: Site) -> None:
    ApparatusRecord.objects.create(
        project=site.project, serial="G-1", rev=1, kind="nuclear_gauge", name="Gauge", values="{}",
        valid_from="2026-01-10", author="s.hale", received_at=site.now,
    )  # fmt: skip
    body = {"kind": "nuclear_gauge", "name": "Gauge", "valid_from": "2026-01-10"}
    assert not register(site, "G-1", body).created
    with pytest.raises(ContentConflict):
        register(site, "G-1", {**body, "name": "Other"})
    under = set_up.read(site.project, setup_seq=0)
    assert (under.apparatus["G-1"][0].rev, under.apparatus["G-1"][0].values) == (0, {})


# ---- counts --------------------------------------------------------------------------------------
@pytest.mark.both_databases
def test_counts_are_judged_in_time_whatever_the_order_of_arrival(site: Site) -> None:
    register(site, "G-1187", GAUGE)
    site.post(gauge_body())
    sweep.run_until_idle()
    assert not {code for code in codes("101") if code.startswith("standard-count")}
    late = count(site, 2845)  # the first on file: nothing to compare with
    sweep.run_until_idle()
    assert codes("101") & {"standard-count-rejected", "standard-count-differs"} == {"standard-count-differs"}
    count(site, 2874, at="2026-06-02T07:30:00-06:00")  # arrives later, was taken earlier
    assert marked() == {"101"}
    sweep.run_until_idle()
    assert "standard-count-rejected" in codes("101"), "2,845 is 1.01 % below 2,874"
    count(site, 2874, at="2026-06-03T07:50:00-06:00")
    sweep.run_until_idle()
    assert not {code for code in codes("101") if code.startswith("standard-count")}
    lines = instrument_lists.count_list(site.opened(), serial="G-1187")
    assert [line.accepted for line in lines] == [True, False, True]
    found = next(line for line in lines if line.uuid == late)
    assert found.sentence.startswith("Not accepted. Density 2845 is -1.01 %")
    assert reassessment.rebuild_check(site.project) == []


def test_a_count_reaches_tests_of_its_gauge_since_it_was_taken(site: Site) -> None:
    readings = {**gauge_body()["readings"], "serial": "G-2"}
    site.post(gauge_body(label="early", performed_at="2026-05-28T09:15:00-06:00"))
    site.post(gauge_body(label="same day"))
    site.post(gauge_body(label="other gauge", readings=readings))
    sweep.run_until_idle()
    count(site, 2874)
    assert marked() == {"same day"}


def test_a_wrong_entry_is_replaced_and_judged_no_more(site: Site) -> None:
    wrong = count(site, 28740, at="2026-06-01T07:30:00-06:00")
    count(site, 2874, at="2026-06-02T07:30:00-06:00")
    assert [line.accepted for line in instrument_lists.count_list(site.opened())] == [True, False]
    count(site, 2874, at="2026-06-01T07:30:00-06:00", replaces=str(wrong), remarks="one digit too many")
    lines = instrument_lists.count_list(site.opened())
    assert [(line.replaced, line.accepted) for line in lines if line.replaced] == [(True, None)]
    assert [line.accepted for line in lines if not line.replaced] == [True, True]
    with pytest.raises(Refused):
        count(site, 2874, replaces=str(uuid.uuid4()))


def test_repeated_counts_show_whether_a_gauge_is_stable(site: Site) -> None:
    steady = [2747, 2853, 2800, 2790, 2810, 2760, 2840, 2700, 2900, 2800]
    count(site, 0, density_counts=steady, purpose="stability")
    count(site, 0, at="2026-06-03T08:00:00-06:00", density_counts=[2800] * 10, moisture_counts=[660] * 10,
          purpose="stability")  # fmt: skip
    first, second = instrument_lists.count_list(site.opened())
    assert first.judged is None
    assert first.accepted is False, "a single moisture count says nothing about scatter"
    assert "too-few-counts" in [finding.code for finding in first.stability]
    assert [finding.code for finding in second.stability] == ["counts-too-smooth"] * 2
    assert set_up.load(site.project, setup_seq=site.opened().setup_seq).instruments.counts == {}


def test_who_may_count_and_certify(site: Site) -> None:
    with pytest.raises(NotAllowed):
        count(site, 2874, as_="o.lake")
    body = {"person": "t.moss", "subject": "all", "valid_from": "2025-01-01"}
    with pytest.raises(NotAllowed):
        certificates.enter(opened=site.opened("t.moss"), client_uuid=uuid.uuid4(), body=body, now=site.now)


# ---- certificates --------------------------------------------------------------------------------
def test_the_first_certificate_reaches_everybody_a_later_one_its_person(site: Site) -> None:
    site.post(cone("201"))
    site.post(cone("202", technician="t.reed"))
    site.post(gauge_body())
    sweep.run_until_idle()
    certify(site)
    assert marked() == {"201", "202"}
    sweep.run_until_idle()
    assert "operator-certificate-missing" not in codes("201")
    assert "operator-certificate-missing" in codes("202")
    expired = certify(site, "t.reed", valid_until="2026-06-02")
    assert marked() == {"202"}
    sweep.run_until_idle()
    assert "operator-certificate-out-of-date" in codes("202")
    certify(site, "t.reed", valid_until="2027-06-02", replaces=str(expired))
    sweep.run_until_idle()
    assert not {code for code in codes("202") if code.startswith("operator")}
    assert OperatorCertificate.objects.count() == 3
    assert reassessment.rebuild_check(site.project) == []


# ---- holds and previews --------------------------------------------------------------------------
def hold(site: Site, *held: str) -> None:
    body = {**SPECIFICATION, "held_findings": list(held), "reason": "clause on calibration"}
    specification_actions.issue(opened=site.opened("m.dale"), code="S-1", rev=2, body=body, now=site.now)
    specification_actions.approve(
        opened=site.opened(), code="S-1", rev=2, client_uuid=uuid.uuid4(), body={"reason": "as amended"}, now=site.now
    )
    sweep.run_until_idle()


def test_a_finding_is_held_where_the_specification_says_so(site: Site) -> None:
    site.post(cone("201"))
    register(site, "SC-3", {**PAIR, "valid_until": "2026-05-20"})
    sweep.run_until_idle()
    assert Test.objects.get().open_holds == ""
    hold(site, "apparatus-out-of-date")
    assert Test.objects.get().open_holds == "apparatus-out-of-date"
    register(site, "SC-3", {**PAIR, "valid_from": "2026-05-21"}, rev=2)
    sweep.run_until_idle()
    assert Test.objects.get().open_holds == ""


def test_a_preview_says_what_saving_does_and_saves_nothing(site: Site) -> None:
    hold(site, "cone-correction-differs")
    for number in range(3):
        site.post(cone(f"20{number}"))
    site.post(cone("other", serial="SC-4"))
    sweep.run_until_idle()
    events = JournalEvent.objects.count()
    body = {**PAIR, "values": {"cone_and_plate_mass": "1650 g"}}
    preview = instrument_previews.preview_record(opened=site.opened(), serial="SC-3", rev=1, body=body, now=site.now)
    assert (preview.used, preview.gain, preview.lose, preview.held, preview.result_changes) == (3, 3, 3, 3, 0)
    assert preview.sentence == (
        "3 tests use it; 3 get a finding, 3 of them held until released; 3 lose one; no result changes."
    )
    assert preview.rows[0].gained == ("calibration-doubtful", "cone-correction-differs")
    assert preview.rows[0].lost == ("apparatus-not-registered",)
    assert (JournalEvent.objects.count(), ApparatusRecord.objects.count()) == (events, 0)
    register(site, "SC-3", body)
    sweep.run_until_idle()
    for row in preview.rows:
        row.change.test.refresh_from_db()
        assert set(row.gained) <= set(row.change.test.finding_codes.split())
        assert row.change.test.outcome_digest == row.change.derived.outcome_digest


def test_previews_of_a_count_and_of_a_certificate(site: Site) -> None:
    register(site, "G-1187", GAUGE)
    count(site, 2874, at="2026-06-02T07:30:00-06:00")
    site.post(gauge_body())
    site.post(gauge_body(label="102", technician="t.reed"))
    sweep.run_until_idle()
    body = {"serial": "G-1187", "taken_at": "2026-06-03T07:30:00-06:00", "density_counts": [2874]}
    good = instrument_previews.preview_count(opened=site.opened(), body=body, now=site.now)
    assert (good.used, good.gain, good.lose) == (2, 0, 2)
    off = instrument_previews.preview_count(
        opened=site.opened(), body={**body, "density_counts": [2900]}, now=site.now + timedelta(minutes=1)
    )
    assert off.rows[0].gained == ("standard-count-differs",)
    told = {"person": "t.moss", "subject": "nuclear_gauge", "valid_from": "2025-01-01"}
    found = instrument_previews.preview_certificate(opened=site.opened(), body=told, now=site.now)
    assert (found.used, found.gain) == (2, 1)
    assert [row.change.test.label for row in found.rows] == ["102"]
    with pytest.raises(Refused):
        instrument_previews.preview_record(opened=site.opened(), serial="G-1187", rev=9, body=GAUGE, now=site.now)
