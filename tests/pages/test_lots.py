"""Pages of lots and statistics: what they show, how a lot is declared and closed there."""

import re
import uuid
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from compaction.actions import lots, sweep
from compaction.models import Lot, LotRevision
from compaction.queries.lots import lot_story
from tests.builders import NOW, gauge_body
from tests.pages.conftest import Filled

SignIn = Callable[[str], Client]
RULE = {"statistic": "average_with_minimum", "quantity": "percent_compaction", "minimum": "95 %"}


@pytest.fixture
def lot(filled: Filled) -> Filled:
    """The site with a lot of three tests, one of them failing by itself and one made too early."""
    site = filled.site
    body = {"title": "Core, lift 4", "zone": "core", "lift_from": 4, "rules": [RULE]}
    lots.declare(opened=site.opened("m.dale"), code="L-1", rev=1, body=body, now=NOW - timedelta(hours=5))
    site.now = NOW + timedelta(hours=2)
    for minutes, label, wet in ((10, "501", "128.0 pcf"), (20, "502", "127.0 pcf"), (30, "503", "116.0 pcf")):
        made = gauge_body(label=label, performed_at=(NOW + timedelta(minutes=minutes)).isoformat())
        made["readings"] = {**made["readings"], "wet_density": wet}
        site.post(made)
    sweep.run_until_idle()
    return filled


def form(**changes: str) -> dict[str, str]:
    sent = {
        "code": "L-7", "title": "Shell", "zone": "core", "lift_from": "4", "purposes": "acceptance",
        "retests": "replace", "individual_failures": "stand", "comparison_risk": "", "comparison_risk_unit": "%",
        "rule-TOTAL_FORMS": "1", "rule-INITIAL_FORMS": "0", "rule-0-statistic": "average_with_minimum",
        "rule-0-quantity": "percent_compaction", "rule-0-minimum": "95", "rule-0-minimum_unit": "%",
        "rule-0-k_table": "",
    }  # fmt: skip
    return {**sent, **changes}


def test_a_lot_shows_verdict_members_reasons_and_what_fails(lot: Filled, sign_in: SignIn) -> None:
    page = sign_in("o.lake").get(f"{lot.root}lots/L-1").content.decode()
    for words in (
        "Average percent compaction at least 95 %",
        "Failing by themselves",
        "503",
        "declared 5 h 10 min before",
    ):
        assert words in page, words
    assert "Close the lot" not in page
    assert "Close the lot" in sign_in("e.stone").get(f"{lot.root}lots/L-1").content.decode()
    listed = sign_in("t.moss").get(f"{lot.root}lots").content.decode()
    assert "Core, lift 4" in listed
    assert "Declare a lot" not in listed


def test_an_engineer_closes_a_lot_on_the_page(lot: Filled, sign_in: SignIn) -> None:
    engineer, address = sign_in("e.stone"), f"{lot.root}lots/L-1"
    page = engineer.get(address).content.decode()
    found = re.search(r'name="basis_digest" value="([0-9a-f]{64})"', page)
    assert found is not None
    sent = {"client_uuid": str(uuid.uuid4()), "basis_digest": "0" * 64, "meaning": "rejected", "reason": "one fails"}
    moved = engineer.post(f"{address}/close", sent)
    assert moved.status_code == 422
    assert "moved since you looked" in moved.content.decode()
    sent["basis_digest"] = found.group(1)
    assert engineer.post(f"{address}/close", sent).status_code == 302
    assert Lot.objects.get().state == "rejected"
    assert sign_in("m.dale").post(f"{address}/close", sent).status_code == 403


def test_a_lot_is_looked_at_then_declared_then_declared_anew(lot: Filled, sign_in: SignIn) -> None:
    manager = sign_in("m.dale")
    looked = manager.post(f"{lot.root}lots-new", form(look="1"))
    assert looked.status_code == 200
    assert "Nothing is declared yet" in looked.content.decode()
    assert LotRevision.objects.count() == 1
    wrong = manager.post(f"{lot.root}lots-new", form(**{"rule-0-statistic": "moving_average"}))
    assert wrong.status_code == 422
    assert "2 to 50 tests" in wrong.content.decode()
    table = {"rule-0-statistic": "mean_minus_k_s", "k_by_tests": "6: .719", "k_source": "contract, table 3"}
    assert manager.post(f"{lot.root}lots-new", form(**table)).status_code == 302
    story = lot_story(lot.site.opened(), "L-7")
    assert story is not None
    assert [str(k) for _, k in story.facts.rules[0].k_by_tests] == ["0.719"]
    again = manager.get(f"{lot.root}lots/L-7/revise").content.decode()
    assert 'value="6: 0.719"' in again
    assert manager.post(f"{lot.root}lots/L-7/revise", form(**table)).status_code == 422  # no reason given
    assert manager.post(f"{lot.root}lots/L-7/revise", form(**table, reason="typed wrongly")).status_code == 302
    assert LotRevision.objects.filter(code="L-7").count() == 2
    bad = manager.post(f"{lot.root}lots-new", form(k_by_tests="six"))
    assert "parted by commas" in bad.content.decode()
    assert sign_in("t.moss").get(f"{lot.root}lots-new").status_code == 403


def test_members_as_a_file(lot: Filled, sign_in: SignIn) -> None:
    lines = sign_in("o.lake").get(f"{lot.root}lots/L-1/tests.csv").content.decode("utf-8-sig").splitlines()
    assert lines[0].startswith("test,id,performed at")
    assert "percent compaction, %" in lines[0]
    reasons = {line.split(",")[0]: line for line in lines[1:]}
    assert ",yes,declared 5 h 10 min before," in reasons["501"]


@pytest.mark.parametrize("picture", ["run.svg", "histogram.svg"])
def test_pictures_of_lots_and_statistics(lot: Filled, sign_in: SignIn, picture: str) -> None:
    owner = sign_in("o.lake")
    for address in (
        f"lots/L-1/{picture}",
        f"statistics/{picture}",
        f"statistics/{picture}?quantity=water_content_deviation",
    ):
        answer = owner.get(lot.root + address)
        assert answer.status_code == 200
        assert answer["Content-Type"].startswith("image/svg+xml")
        assert b"<title" in answer.content
    assert owner.get(f"{lot.root}lots/L-9/{picture}").status_code == 404
    assert sign_in("x.outside").get(f"{lot.root}statistics/{picture}").status_code == 404


def test_statistics_beside_the_pictures(lot: Filled, sign_in: SignIn) -> None:
    owner = sign_in("o.lake")
    page = owner.get(f"{lot.root}statistics").content.decode()
    for words in ("First tests and retests are never mixed", "t.moss", "P-1", "Narrow the tests"):
        assert words in page
    lines = owner.get(f"{lot.root}statistics.csv?zone=core").content.decode("utf-8-sig").splitlines()
    first = next(line.split(",") for line in lines if line.startswith("all,first tests"))
    assert (first[3], first[8]) == ("6", "2")  # six first tests; 102 and 503 fail
    assert first[9] == "33.3"
    none = owner.get(f"{lot.root}statistics?technician=nobody").content.decode()
    assert "First tests by area" in none
    assert "is no day" in owner.get(f"{lot.root}statistics?from=yesterday").content.decode()


def test_every_field_of_the_declaration_has_a_label(lot: Filled, sign_in: SignIn) -> None:
    manager = sign_in("m.dale")
    for path in ("lots-new", "lots/L-1/revise", "statistics"):
        page = manager.get(lot.root + path).content.decode()
        labelled = set(re.findall(r"<label[^>]*\sfor=\"([^\"]+)\"", page))
        for field in re.findall(r"<(?:input|select|textarea)\b[^>]*>", page):
            if 'type="hidden"' not in field and "aria-label" not in field:
                found = re.search(r"\sid=\"([^\"]+)\"", field)
                assert found is not None, (path, field)
                assert found.group(1) in labelled, (path, field)
        assert re.search(r"\sstyle\s*=|\son[a-z]+\s*=", page) is None, path


def test_an_outsider_finds_no_lot(lot: Filled, sign_in: SignIn) -> None:
    for path in ("lots", "lots/L-1", "statistics", "statistics.csv", "lots/L-1/tests.csv", "lots-new"):
        assert sign_in("x.outside").get(lot.root + path).status_code == 404
    assert sign_in("e.stone").get(f"{lot.root}lots/L-9").status_code == 404
