"""Pages of a specification: conditions on the form and back, drafts, differences, what governs at a point."""

import html
import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.forms import MultiValueField
from django.test import Client

from compaction.actions import specifications
from compaction.forms.frequency import counter_of
from compaction.models import SpecificationRevision
from compaction.records.specification_drafts import DRAFTS
from tests.pages.conftest import Filled

SignIn = Callable[[str], Client]

pytestmark = pytest.mark.django_db
SENT = {
    "code": "S-2", "title": "Clay core", "edition": "2026", "reach": "all", "retest_passing_retests": "2",
    "retest_distance_0": "10", "retest_distance_unit": "ft", "retest_closed_by": "supervisor",
    "criterion-TOTAL_FORMS": "2", "criterion-INITIAL_FORMS": "0",
    "criterion-0-quantity": "percent_compaction", "criterion-0-minimum": "98", "criterion-0-minimum_unit": "%",
    "criterion-0-maximum": "102", "criterion-0-maximum_unit": "%", "criterion-0-contractual": "on",
    "criterion-0-zone": "core", "criterion-0-depth_to": "2", "criterion-0-depth_to_unit": "ft",
    "criterion-0-plasticity_index_low_end": "above", "criterion-0-plasticity_index_low": "15",
    "criterion-0-plasticity_index_unit": "%", "criterion-0-reference_methods": "D698, T99",
    "criterion-0-group_symbols": "CL,CH", "criterion-0-clause": "Clays of the core.\nSecond line.",
    "criterion-1-quantity": "lift_thickness", "criterion-1-maximum": "8", "criterion-1-maximum_unit": "in",
    "criterion-1-contractual": "on",
    "step-TOTAL_FORMS": "0", "step-INITIAL_FORMS": "0",
    "frequency-TOTAL_FORMS": "0", "frequency-INITIAL_FORMS": "0",
}  # fmt: skip


def body_of(code: str) -> dict[str, Any]:
    content: dict[str, Any] = json.loads(SpecificationRevision.objects.get(code=code).content)
    return content


def test_conditions_are_entered_and_read_back_as_a_table(filled: Filled, sign_in: SignIn) -> None:
    manager = sign_in("m.dale")
    sent = {name.replace("retest_distance_0", "retest_distance"): value for name, value in SENT.items()}
    sent["editions"] = "ASTM D1556: 2015\nAASHTO T 191: 2014"
    wrong = manager.post(f"{filled.root}specifications-new", sent | {"editions": "ASTM D1556 2015"})
    assert (wrong.status_code, "Write each as standard: year" in wrong.content.decode()) == (422, True)
    answer = manager.post(f"{filled.root}specifications-new", sent)
    assert answer.status_code == 302, answer.content.decode()
    body = body_of("S-2")
    assert body["criteria"][0]["plasticity_index"] == {"above": "15 %"}
    assert body["criteria"][0]["group_symbols"] == ["CL", "CH"]
    assert body["retest"] == {"distance": "10 ft", "passing_retests": 2, "closed_by": "supervisor"}
    assert body["editions"] == {"ASTM D1556": "2015", "AASHTO T 191": "2014"}
    page = manager.get(f"{filled.root}specifications/S-2").content.decode()
    for words in (
        "Percent compaction: 98 to 102 % of D698 or T99",
        "In core, down to 2 ft below grade, plasticity index above 15 %, soils CL or CH",
        "Lift thickness: at most 8 in",
        "AASHTO T 191 2014, ASTM D1556 2015",
        "Clays of the core.<br>Second line.",
        "2 passing retests in a row within 10 ft; a supervisor or an engineer closes",
    ):
        assert words in page, words
    again = manager.get(f"{filled.root}specifications/S-2/revise").content.decode()
    assert 'value="CL, CH"' in again
    assert re.search(r'name="criterion-0-plasticity_index_low" value="15"', again)
    assert re.search(r"<details open><summary>Soil</summary>", again)


def test_how_often_to_test_comes_back_as_it_was_written(filled: Filled, sign_in: SignIn) -> None:
    """A revision from the API through the form: nothing is lost, nothing is added."""
    rules = [
        {
            "name": "gauge", "zone": "core", "clause": "As clause 4.", "purposes": ["acceptance"],
            "counters": [{"basis": "volume", "interval": "2000 yd3", "within": "lift", "minimum": 2}, {"basis": "day"}],
            "after_passes": 10, "one_in": 3, "signed_release": True,
        },
        {
            "name": "checked by cone", "methods": ["sand_cone"],
            "counters": [{"basis": "tests", "interval": 10, "within": "area"}],
        },
    ]  # fmt: skip
    body = {"title": "Fill", "edition": "2026", "remarks": "kept", "observation_accepts": ["rock toe", "abutment"],
            "reach": "all", "frequency": rules,
            "criteria": [{"quantity": "percent_compaction", "minimum": "95 %", "contractual": True}]}  # fmt: skip
    site, manager = filled.site, sign_in("m.dale")
    specifications.issue(opened=site.opened("m.dale"), code="S-4", rev=1, body=body, now=site.now)
    address = f"{filled.root}specifications/S-4/revise"
    page = manager.get(address)
    sent = {"reason": "again", **sent_back(page.context["form"], "")}
    for prefix in ("criteria", "steps", "frequency"):
        formset = page.context[prefix]
        sent |= {f"{formset.prefix}-{name}": value for name, value in formset.management_form.initial.items()}
        for row in formset:
            sent |= sent_back(row, f"{row.prefix}-")
    assert manager.post(address, sent).status_code == 302
    again = json.loads(SpecificationRevision.objects.get(code="S-4", rev=2).content)
    assert again.pop("reason") == "again"
    assert again == body
    wrong = manager.post(address, sent | {"frequency-1-counters": "volume 2000\nlift", "frequency-0-one_in": ""})
    assert wrong.status_code == 422
    assert wrong.context["frequency"][1].errors["counters"] == [
        "Line 1: volume wants a number with its unit (m3, cm3, mL, L, ft3, in3, yd3)."
    ]
    wrong = manager.post(address, sent | {"frequency-0-one_in": ""})
    assert "needs" in str(wrong.context["frequency"][0].errors["one_in"])  # told by the record, at its row


def sent_back(form: Any, prefix: str) -> dict[str, Any]:
    """What a browser sends when nothing on the form was touched."""
    found: dict[str, Any] = {}
    for item in form:
        value = item.value()
        parts = item.field.widget.decompress(value) if isinstance(item.field, MultiValueField) else None
        if parts is not None:
            names = item.field.widget.widgets_names
            found |= {f"{prefix}{item.name}{name}": part for name, part in zip(names, parts, strict=True)}
        elif value not in (None, False):
            found[f"{prefix}{item.name}"] = value
    return found


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("2000 yd3", "write for example"),
        ("bucket 3", "not counted up"),
        ("volume 2000 furlong", "wants a number with its unit"),
        ("day 1.5", "whole number"),
        ("lift 1 within county", "is not known"),
        ("volume 2,000 yd3", "write for example"),
    ],
)
def test_a_line_that_is_no_counter_says_why(line: str, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        counter_of(line)


def test_a_draft_fills_the_form_and_says_that_it_is_one(filled: Filled, sign_in: SignIn) -> None:
    manager = sign_in("m.dale")
    page = manager.get(f"{filled.root}specifications-new").content.decode()
    for draft in DRAFTS.values():
        assert draft.words in page
    started = manager.get(f"{filled.root}specifications-new?draft=sliding").content.decode()
    assert "nobody’s contract" in started
    assert 'value="102"' in started
    assert 'value="D698, T99"' in started
    assert DRAFTS["sliding"].body["criteria"][0]["reference_methods"] == ["D698", "T99"]  # the draft is as it was
    assert started.count('<option value="percent_compaction" selected') == 3


def test_an_approval_shows_what_the_revision_changes(filled: Filled, sign_in: SignIn) -> None:
    site = filled.site
    body = {"title": "Embankment", "criteria": [{"quantity": "percent_compaction", "minimum": "97 %"}]}
    specifications.issue(opened=site.opened("m.dale"), code="S-1", rev=2, body=body, now=site.now)
    page = sign_in("e.stone").get(f"{filled.root}specifications/S-1/2/approval").content.decode()
    assert "Against revision 1" in page
    assert "percent compaction at least 95 %" in page
    assert "percent compaction at least 97 %" in page
    assert "tests looked at" in page


def test_a_test_leads_to_what_governs_at_its_place(filled: Filled, sign_in: SignIn) -> None:
    reader = sign_in("o.lake")
    page = reader.get(f"{filled.root}tests/{filled.passing}").content.decode()
    found = re.search(r'href="([^"]*specifications-governing[^"]*)"', page)
    assert found is not None
    answer = reader.get(html.unescape(found.group(1)))
    assert answer.status_code == 200
    assert "12+50.00" in answer.content.decode()


def test_the_page_says_what_governs_and_how_a_reading_would_be_judged(filled: Filled, sign_in: SignIn) -> None:
    reader = sign_in("o.lake")
    page = reader.get(f"{filled.root}specifications-governing")
    assert page.status_code == 200
    asked = {
        "alignment": "main", "station": "12+50", "offset": "15 L", "reference": "P-1",
        "dry_density": "104.0", "dry_density_unit": "pcf", "water_content": "15.0", "water_content_unit": "%",
    }  # fmt: skip
    text = reader.get(f"{filled.root}specifications-governing", asked).content.decode()
    # 104.0 of 110.0 pcf is 94.5 %
    assert "The reading: fails" in text
    assert "94.5 of 95, 0.5 short" in text
    assert "governs" in text
    assert "Each test at least 95 percent of D698." in text
    wrong = reader.get(f"{filled.root}specifications-governing", asked | {"plasticity_index": "much"})
    assert wrong.status_code == 422
