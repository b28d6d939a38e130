"""References and specifications at the pages: entered, previewed, approved, read back."""

import json
import re
import uuid
from collections.abc import Callable

import pytest
from django.test import Client

from compaction.actions import sweep
from compaction.models import (
    ReferenceRevision,
    SpecificationRevision,
    Test,
)
from tests.pages.conftest import PASSING, Filled

SignIn = Callable[[str], Client]


def reference_form(**changes: str) -> dict[str, str]:
    return {
        "code": "P-2", "soil": "silty sand", "method": "D698-A", "control_sieve": "no4", "oversize_rule": "none",
        "reach": "all", "maximum_dry_density_": "", "maximum_dry_density": "118.2", "maximum_dry_density_unit": "pcf",
        "optimum_water_content": "12.1", "optimum_water_content_unit": "%", "specific_gravity": "2.68",
        "point-TOTAL_FORMS": "2", "point-INITIAL_FORMS": "0", "point-0-water_content": "10",
        "point-0-water_content_unit": "%",
        "point-0-dry_density": "115.1", "point-0-dry_density_unit": "pcf", "reason": "new borrow", **changes,
    }  # fmt: skip


def test_a_reference_is_entered_and_approved_by_another(filled: Filled, sign_in: SignIn) -> None:
    lab, engineer = sign_in("l.finch"), sign_in("e.stone")
    assert lab.post(f"{filled.root}references-new", reference_form()).status_code == 302
    row = ReferenceRevision.objects.get(code="P-2")
    assert json.loads(row.content)["points"] == [{"dry_density": "115.1 pcf", "water_content": "10 %"}]
    seen = engineer.get(f"{filled.root}references/P-2/1/approval")
    assert "Of 0 tests looked at" in seen.content.decode()
    sent = {"client_uuid": str(uuid.uuid4()), "reason": "points lie on a curve"}
    assert lab.post(f"{filled.root}references/P-2/1/approve", sent).status_code == 403
    assert engineer.post(f"{filled.root}references/P-2/1/approve", sent).status_code == 302
    assert "approved" in engineer.get(f"{filled.root}references/P-2").content.decode()


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"maximum_dry_density": "9"}, "between 500 and 4000"),
        ({"maximum_dry_density": ""}, "Give a number here"),
        ({"point-0-dry_density": ""}, "needs its water content and its dry density"),
        ({"specific_gravity": "x"}, "number"),
        ({"oversize_rule": "correct_maximum"}, "bulk specific gravity"),
        ({"reach": "from_date"}, "effective_from"),
    ],
)
def test_a_bad_reference_is_told_at_the_form(
    filled: Filled, sign_in: SignIn, changes: dict[str, str], told: str
) -> None:
    answer = sign_in("l.finch").post(f"{filled.root}references-new", reference_form(**changes))
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not ReferenceRevision.objects.filter(code="P-2").exists()


def test_approving_says_before_what_it_changes(filled: Filled, sign_in: SignIn) -> None:
    lab, engineer = sign_in("l.finch"), sign_in("e.stone")
    revised = reference_form(code="", maximum_dry_density="113.0", optimum_water_content="15")
    assert lab.post(f"{filled.root}references/P-1/revise", revised).status_code == 302
    text = engineer.get(f"{filled.root}references/P-1/2/approval").content.decode()
    assert re.search(r"Of 3 tests looked at, 3 change: [12] pass to fail", text)
    assert Test.objects.get(client_uuid=PASSING).result == "pass"
    engineer.post(f"{filled.root}references/P-1/2/approve", {"client_uuid": str(uuid.uuid4()), "reason": "ok"})
    sweep.run_until_idle()
    page = engineer.get(f"{filled.root}tests/{PASSING}").content.decode()
    assert "Fails" in page
    assert "reference P-1 rev 2 approved" in page


def test_a_specification_reads_back_as_its_clauses(filled: Filled, sign_in: SignIn) -> None:
    sent = {
        "code": "S-2", "title": "Trench backfill", "reach": "all", "criterion-TOTAL_FORMS": "2",
        "criterion-INITIAL_FORMS": "0", "criterion-0-quantity": "percent_compaction", "criterion-0-minimum": "90",
        "criterion-0-minimum_unit": "%", "criterion-0-contractual": "on", "criterion-0-zone": "core",
        "criterion-0-clause": "Ninety percent.", "step-TOTAL_FORMS": "1", "step-INITIAL_FORMS": "0",
        "step-0-quantity": "percent_compaction", "step-0-increment": "1", "step-0-unit": "%", "step-0-method": "round",
        "step-0-tie": "half_up", "frequency-TOTAL_FORMS": "0", "frequency-INITIAL_FORMS": "0",
    }  # fmt: skip
    manager = sign_in("m.dale")
    answer = manager.post(f"{filled.root}specifications-new", sent)
    assert answer.status_code == 302
    page = manager.get(f"{filled.root}specifications/S-2").content.decode()
    for words in ("Percent compaction: at least 90 %", "In core", "rounded to 1 %; a tie goes up", "Ninety percent."):
        assert words in page
    none = manager.post(f"{filled.root}specifications-new", {**sent, "code": "S-3", "criterion-0-quantity": ""})
    assert none.status_code == 422
    assert "at least one criterion" in none.content.decode()
    assert not SpecificationRevision.objects.filter(code="S-3").exists()
