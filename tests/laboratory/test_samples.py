"""Samples over HTTP and on pages; what they do to references and tests; benches entered by form."""

import json
import re
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from api.examples.bodies import EXAMPLES
from compaction.actions import previews, references, samples, sweep
from compaction.actions.refusals import ContentConflict, Refused
from compaction.calculations.errors import ReadingsError
from compaction.facts import SoilFacts
from compaction.models import ReferenceRevision, SampleRevision, TestOutcome
from compaction.queries import set_up
from compaction.records import sample
from projects.models import JournalEvent, StaleWork, User
from tests.api.conftest import Caller, problem
from tests.builders import PROCTOR, Site, gauge_body, make_project
from tests.evaluation.builders import reference

CLAY: dict[str, Any] = EXAMPLES["Sample"]["from_the_borrow"]
BENCH: dict[str, Any] = EXAMPLES["Reference"]["from_bench_masses"]


@pytest.fixture
def site(db: None) -> Site:
    set_up.forget()
    return make_project()


def caller(site: Site, username: str) -> Caller:
    made = Caller(site.project.code)
    made.client.force_login(site.user(username))
    return made


def browser(site: Site, username: str) -> Client:
    client = Client()
    client.force_login(User.objects.get(username=username))
    return client


# ---- record --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"plastic_limit": "45 %"}, "/plastic_limit"),
        ({"non_plastic": True}, "/non_plastic"),
        ({"specific_gravity": "27"}, "/specific_gravity"),
        ({"gradation": [{"sieve": "no4", "passing": "50 %"}, {"sieve": "no200", "passing": "60 %"}]}, "/gradation"),
        ({"gradation": [{"sieve": "no7", "passing": "50 %"}]}, "/gradation/0/sieve"),
        ({"gradation": [{"passing": "50 %"}]}, "/gradation/0/sieve"),
        ({"description": 7}, "/description"),
        ({"colour": "brown"}, "/colour"),
    ],
)
def test_what_cannot_be_read_is_told_at_its_place(changes: dict[str, Any], pointer: str) -> None:
    with pytest.raises(ReadingsError) as raised:
        sample.read({**CLAY, **changes}, code="S-1", rev=1)
    assert pointer in [error.pointer for error in raised.value.errors]


def test_figures_that_do_not_reach_are_kept_and_say_what_is_missing() -> None:
    only_limits = sample.read({"description": "clay", "liquid_limit": "38 %"}, code="S-1", rev=1)
    assert only_limits.classification is None
    no_limits = sample.read({"description": "x", "gradation": CLAY["gradation"]}, code="S-1", rev=1)
    assert [finding.code for finding in no_limits.findings] == ["limits-missing"]
    assert no_limits.facts.fines_pct == 81
    doubtful = sample.read({"description": "x", "liquid_limit": "60 %", "plastic_limit": "5 %"}, code="S-1", rev=1)
    assert [finding.code for finding in doubtful.findings] == ["limits-above-u-line"]
    other = sample.read({**CLAY, "reported_symbol": "ch", "reported_name": "lean clay with sand"}, code="S-1", rev=1)
    assert [finding.code for finding in other.findings] == ["reported-symbol-differs"]


# ---- actions -------------------------------------------------------------------------------------
def test_a_sample_is_recorded_once_and_in_order(site: Site) -> None:
    laboratory = site.opened("l.finch")
    first = samples.record(opened=laboratory, code="S-1", rev=1, body=CLAY, now=site.now)
    again = samples.record(opened=laboratory, code="S-1", rev=1, body=CLAY, now=site.now)
    assert (first.created, again.created) == (True, False)
    assert SampleRevision.objects.get().group_symbol == "CL"
    assert JournalEvent.objects.filter(kind="sample.recorded").count() == 1
    with pytest.raises(ContentConflict):
        samples.record(opened=laboratory, code="S-1", rev=1, body={**CLAY, "remarks": "x"}, now=site.now)
    with pytest.raises(Refused):
        samples.record(opened=laboratory, code="S-1", rev=3, body=CLAY, now=site.now)


@pytest.mark.both_databases
def test_nobody_changes_a_sample_on_record(site: Site) -> None:
    samples.record(opened=site.opened("l.finch"), code="S-1", rev=1, body=CLAY, now=site.now)
    with pytest.raises(Exception, match="append-only"):
        SampleRevision.objects.update(description="another")


def test_the_facts_of_a_sample_reach_what_tests_are_judged_by(site: Site) -> None:
    site.post(gauge_body(), id_=uuid.UUID(int=1))
    sweep.run_until_idle()
    before = list(TestOutcome.objects.values_list("inputs_digest", flat=True))
    named = {**PROCTOR, "sample": "S-1", "reason": "sample named"}
    references.issue(opened=site.opened("l.finch"), code="P-1", rev=2, body=named, now=site.now)
    references.approve(
        opened=site.opened(), code="P-1", rev=2, client_uuid=uuid.uuid4(), body={"reason": "seen"}, now=site.now
    )
    sweep.run_until_idle()
    # a sample that is not here yet changes nothing, and neither does naming it
    assert list(TestOutcome.objects.values_list("inputs_digest", flat=True)) == before
    assert set_up.load(site.project, setup_seq=site.opened().setup_seq).reference("P-1", site.now).soil is None
    samples.record(opened=site.opened("l.finch"), code="S-1", rev=1, body=CLAY, now=site.now)
    assert StaleWork.objects.filter(kind="test", cause__contains="sample S-1 rev 1").count() == 1
    sweep.run_until_idle()
    facts = set_up.load(site.project, setup_seq=site.opened().setup_seq).reference("P-1", site.now)
    assert facts is not None
    assert facts.soil is not None
    assert (facts.soil.group_symbol, facts.soil.plasticity_index_pct, facts.soil.fines_pct) == ("CL", 19, 81)
    outcomes = TestOutcome.objects.order_by("id")
    assert outcomes.count() == 2
    assert len(set(outcomes.values_list("inputs_digest", flat=True))) == 2
    assert set(outcomes.values_list("result", flat=True)) == {"pass"}
    assert previews.preview_reference(site.opened(), "P-1", 2, now=site.now).changed == 0


def test_the_specific_gravity_of_a_sample_serves_where_its_reference_states_none(site: Site) -> None:
    """The laboratory measures it once; a revision of the sample reaches the tests of its references."""
    without = {name: value for name, value in PROCTOR.items() if not name.startswith("specific_gravity")}
    named = {**without, "sample": "S-1", "reason": "sample named"}
    references.issue(opened=site.opened("l.finch"), code="P-1", rev=2, body=named, now=site.now)
    references.approve(
        opened=site.opened(), code="P-1", rev=2, client_uuid=uuid.uuid4(), body={"reason": "seen"}, now=site.now
    )
    site.post(gauge_body(), id_=uuid.UUID(int=1))
    sweep.run_until_idle()
    assert "saturation_pct" not in json.loads(TestOutcome.objects.latest("id").content)["figures"]
    samples.record(opened=site.opened("l.finch"), code="S-1", rev=1, body=CLAY, now=site.now)
    sweep.run_until_idle()
    facts = set_up.load(site.project, setup_seq=site.opened().setup_seq).reference("P-1", site.now)
    assert facts is not None
    assert (str(facts.specific_gravity), facts.specific_gravity_measured) == (CLAY["specific_gravity"], True)
    figures = json.loads(TestOutcome.objects.latest("id").content)["figures"]
    dry, water = (Decimal(figures[name]) for name in ("dry_density_kgm3", "water_content_pct"))
    by_hand = water / (1000 / dry - 1 / Decimal(CLAY["specific_gravity"]))
    assert abs(Decimal(figures["saturation_pct"]) - by_hand) < Decimal("0.001")
    page = browser(site, "e.stone").get(f"/p/{site.project.code}/references/P-1").content.decode()
    assert f"{CLAY['specific_gravity']}, measured, of its sample" in page


@pytest.mark.parametrize(("own", "expected"), [(None, ("2.68", True)), (Decimal("2.70"), ("2.70", False))])
def test_a_references_own_specific_gravity_goes_before_its_samples(own: Decimal | None, expected: object) -> None:
    soil = SoilFacts("S-1", 1, specific_gravity=Decimal("2.68"), specific_gravity_measured=True)
    facts = sample.on_sample(reference(specific_gravity=own), soil)
    assert (str(facts.specific_gravity), facts.specific_gravity_measured) == expected
    assert facts.soil == soil


# ---- API -----------------------------------------------------------------------------------------
def test_a_sample_over_http(site: Site) -> None:
    laboratory, technician = caller(site, "l.finch"), caller(site, "t.moss")
    assert laboratory.put("samples/S-1/revisions/1", CLAY).status_code == 201
    again = laboratory.put("samples/S-1/revisions/1", CLAY)
    assert (again.status_code, again["Idempotent-Replay"]) == (200, "true")
    problem(laboratory.put("samples/S-1/revisions/3", CLAY), 409, "revision-conflict")
    problem(technician.put("samples/S-2/revisions/1", CLAY), 403, "not-allowed")
    shown = technician.get("samples/S-1/revisions/1").json()
    assert (shown["group_symbol"], shown["group_name"]) == ("CL", "lean clay with sand")
    assert shown["facts"]["plasticity_index_pct"] == "19"
    assert shown["content"] == CLAY
    assert [item["code"] for item in technician.get("samples").json()["items"]] == ["S-1"]
    problem(technician.get("samples/S-1/revisions/2"), 404, "not-found")


def test_a_reference_shows_its_points_worked_out_and_every_fit(site: Site) -> None:
    laboratory = caller(site, "l.finch")
    assert laboratory.put("references/P-5/revisions/1", BENCH).status_code == 201
    shown = laboratory.get("references/P-5/revisions/1").json()
    first = shown["points"][0]
    # by hand: (6012 - 4205) g / 943.9 cm3 = 1914.4 kg/m3; 12.29 / 108.91 = 11.285 %; 1720.3 kg/m3
    assert [first[name].split(".")[0] for name in ("wet_density_kgm3", "dry_density_kgm3")] == ["1914", "1720"]
    assert first["water_content_pct"].startswith("11.284")
    assert [step["id"] for step in first["steps"]] == [
        "water-content-from-masses",
        "mould-wet-density",
        "mould-dry-density",
    ]
    assert [row["fit"] for row in shown["fits"]["rows"]] == ["reported"]
    assert {"too-few-points", "sample-unknown"} <= {finding["code"] for finding in shown["findings"]}
    assert shown["points"][2]["why"] == "mould leaked"


# ---- pages ---------------------------------------------------------------------------------------
def bench_form(**changes: str) -> dict[str, str]:
    form = {
        "code": "P-6", "soil": "lean clay", "method": "D698-A", "control_sieve": "no4", "oversize_rule": "none",
        "reach": "all", "maximum_dry_density": "108.6",
        "maximum_dry_density_unit": "pcf", "optimum_water_content": "17.0", "optimum_water_content_unit": "%",
        "mould_volume": "0.0331", "mould_volume_unit": "ft3", "mould_mass": "4213", "mould_mass_unit": "g",
        "mass_unit": "g", "point-TOTAL_FORMS": "2", "point-INITIAL_FORMS": "0", "point-0-mould_and_soil": "5960",
        "point-0-wet_1": "159.49", "point-0-dry_1": "144.60", "point-0-empty_1": "31.52",
        "point-1-mould_and_soil": "13.36 lb", "point-1-water_content": "15.2", "point-1-water_content_unit": "%",
    }  # fmt: skip
    return {**form, **changes}


def test_a_bench_is_looked_at_before_it_is_entered(site: Site) -> None:
    lab, address = browser(site, "l.finch"), f"/p/{site.project.code}/references-new"
    looked = lab.post(address, {**bench_form(), "look": "1"})
    assert looked.status_code == 200
    page = looked.content.decode()
    assert "Nothing is recorded yet" in page
    assert "13.17" in page  # 14.89 / 113.08
    assert not ReferenceRevision.objects.filter(code="P-6").exists()
    assert lab.post(address, bench_form()).status_code == 302
    body = json.loads(ReferenceRevision.objects.get(code="P-6").content)
    assert body["points"][0] == {
        "mould_and_soil": "5960 g",
        "cans": [{"place": "top", "wet_and_can": "159.49 g", "dry_and_can": "144.60 g", "can_mass": "31.52 g"}],
    }
    assert body["points"][1] == {"mould_and_soil": "13.36 lb", "water_content": "15.2 %"}
    shown = lab.get(f"/p/{site.project.code}/references/P-6").content.decode()
    assert "Worksheet of each point" in shown
    revise = lab.get(f"/p/{site.project.code}/references/P-6/revise").content.decode()
    assert re.search(r'name="point-0-wet_1" value="159.49"', revise)
    assert re.search(r'name="point-1-mould_and_soil" value="13.36 lb"', revise)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"point-0-dry_1": ""}, "three masses"),
        ({"point-1-water_content": ""}, "or the masses that they follow from"),
        ({"point-1-dry_density": "110", "point-1-dry_density_unit": "pcf"}, "not both"),
        ({"point-0-mould_and_soil": "heavy"}, "plain decimal number"),
    ],
)
def test_a_bad_bench_is_told_at_the_form(site: Site, changes: dict[str, str], told: str) -> None:
    answer = browser(site, "l.finch").post(f"/p/{site.project.code}/references-new", bench_form(**changes))
    assert answer.status_code == 422
    assert told in answer.content.decode()


def test_what_the_form_does_not_show_stays_when_a_reference_is_revised(site: Site) -> None:
    sent = {**PROCTOR, "mould_diameter": "4 in", "points": [{"wet_density": "120 pcf", "water_content": "12 %"}] * 2}
    references.issue(opened=site.opened("l.finch"), code="P-7", rev=1, body=sent, now=site.now)
    lab, address = browser(site, "l.finch"), f"/p/{site.project.code}/references/P-7/revise"
    assert "2 points on record hold more" in lab.get(address).content.decode()
    empty = {name: "" for name in bench_form() if name.startswith("point-0") or name.startswith("point-1")}
    assert lab.post(address, {**bench_form(**empty), "code": "", "reason": "new maximum"}).status_code == 302
    body = json.loads(ReferenceRevision.objects.get(code="P-7", rev=2).content)
    assert (body["mould_diameter"], body["points"]) == ("4 in", sent["points"])


def sample_form(**changes: str) -> dict[str, str]:
    form = {
        "code": "S-9", "description": "Clayey sand", "liquid_limit": "29", "liquid_limit_unit": "%",
        "plastic_limit": "17", "plastic_limit_unit": "%", "sieve_no4": "97", "sieve_no200": "37", "size_1": "0.02",
        "passing_1": "20", "sampled_on": "2026-05-20",
    }  # fmt: skip
    return {**form, **changes}


def test_a_sample_is_entered_looked_at_and_revised(site: Site) -> None:
    lab, root = browser(site, "l.finch"), f"/p/{site.project.code}/"
    assert lab.post(f"{root}samples-new", sample_form()).status_code == 302
    page = lab.get(f"{root}samples/S-9").content.decode()
    assert "clayey sand" in page
    assert "37 % pass No. 200, less than half: coarse-grained." in page
    drawn = lab.get(f"{root}samples/S-9/1/gradation.svg")
    assert b"clayey sand (SC)" in drawn.content
    assert "SC" in lab.get(f"{root}samples").content.decode()
    revise = lab.get(f"{root}samples/S-9/revise").content.decode()
    assert re.search(r'name="sieve_no200" value="37"', revise)
    assert re.search(r'name="size_1" value="0.02"', revise)
    rising = lab.post(f"{root}samples/S-9/revise", sample_form(code="", reason="again", sieve_no200="98"))
    assert rising.status_code == 422
    assert "no more can pass a finer one" in rising.content.decode()
    assert lab.get(f"{root}samples/S-9/2/gradation.svg").status_code == 404
    assert browser(site, "x.outside").get(f"{root}samples/S-9").status_code == 404
    assert browser(site, "t.moss").get(f"{root}samples-new").status_code == 403


def test_every_field_of_the_forms_has_a_label(site: Site) -> None:
    lab = browser(site, "l.finch")
    for path in ("samples-new", "references-new"):
        page = lab.get(f"/p/{site.project.code}/{path}").content.decode()
        labelled = set(re.findall(r"<label[^>]*\sfor=\"([^\"]+)\"", page))
        for field in re.findall(r"<(?:input|select|textarea)\b[^>]*>", page):
            if 'type="hidden"' in field or "aria-label" in field:
                continue
            found = re.search(r"\sid=\"([^\"]+)\"", field)
            assert found is not None, field
            assert found.group(1) in labelled, field
