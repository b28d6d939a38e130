"""Pages of the references that are no single curve, and the entry of rapid method and one point."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from api.examples.bodies import EXAMPLES
from compaction.actions import references
from compaction.models import ReferenceRevision
from tests.builders import gauge_body
from tests.pages.conftest import Filled

SAND = EXAMPLES["IndexDensityReference"]["clean_sand"]
SIGN_IN = Callable[[str], Client]


def common(**more: Any) -> dict[str, Any]:
    return {"reach": "all", "code": "X-1", **more}


def quantity(name: str, number: str, unit: str = "pcf") -> dict[str, str]:
    return {f"{name}_0": number, f"{name}_1": unit, f"{name}_unit": unit, name: number}


SENT: dict[str, dict[str, Any]] = {
    "index_density": common(
        **quantity("minimum_index_density", "93.0"),
        **quantity("maximum_index_density", "115.0"),
        minimum_method="D4254-A",
        maximum_method="D4253-1A",
        minimum_trials="92.8 93.2",
        specific_gravity="2.65",
    ),
    "control_strip": common(
        **quantity("maximum_dry_density", "138.2"), method="gauge, 10 spots", readings="137.9\n138.5",
        valid_until="2026-09-30",
    ),
    "family": common(
        method="D698-A", curves=["P-1", "P-2", "P-3"], control_sieve="no4", oversize_rule="none", oversize_practice=""
    ),
}  # fmt: skip
SHOWN = {
    "index_density": ("93.0 pcf", "115.0 pcf", "no percent compaction", "void ratio", "D4254 method A"),
    "control_strip": ("138.2 pcf", "2, mean 138.2 pcf", "30 Sep 2026"),
    "family": ("P-1", "missing", "P-2, P-3"),
}


@pytest.mark.parametrize("kind", list(SENT))
def test_a_reference_of_each_kind_is_entered_and_shown(filled: Filled, sign_in: SIGN_IN, kind: str) -> None:
    laboratory = sign_in("l.finch")
    if kind == "family":  # the form offers the curves that are there; two more are needed
        first = ReferenceRevision.objects.get(code="P-1")
        for code in ("P-2", "P-3"):
            ReferenceRevision.objects.create(
                **{field.name: getattr(first, field.name) for field in first._meta.fields if field.name != "id"}
                | {"code": code}
            )
    page = laboratory.get(f"{filled.root}references-new/{kind}")
    assert page.status_code == 200
    assert "Another kind" in page.content.decode()
    answer = laboratory.post(f"{filled.root}references-new/{kind}", SENT[kind])
    assert answer.status_code == 302, answer.content.decode()
    text = laboratory.get(f"{filled.root}references/X-1").content.decode()
    for part in SHOWN[kind] if kind != "family" else ("P-1", "P-2", "One point holds"):
        assert part in text
    assert laboratory.get(f"{filled.root}references").content.decode().count("X-1") >= 1
    svg = laboratory.get(f"{filled.root}references/X-1/1/curve.svg")
    assert svg.status_code == 200
    # the next revision starts from the last
    assert laboratory.get(f"{filled.root}references/X-1/revise").status_code == 302
    again = laboratory.get(f"{filled.root}references/X-1/revise-kind").content.decode()
    assert "revision 2" in again


def test_what_contradicts_itself_is_told_at_its_field(filled: Filled, sign_in: SIGN_IN) -> None:
    swapped = {**SENT["index_density"], **quantity("minimum_index_density", "120.0")}
    answer = sign_in("l.finch").post(f"{filled.root}references-new/index_density", swapped)
    assert answer.status_code == 422
    assert "Check whether the two were exchanged" in answer.content.decode()
    assert sign_in("l.finch").get(f"{filled.root}references-new/guess").status_code == 404


def test_the_entry_form_offers_one_point_and_rapid_method(filled: Filled, sign_in: SIGN_IN) -> None:
    text = sign_in("t.moss").get(f"{filled.root}tests/new").content.decode()
    for pointer in ("/reference_choice/wet_density", "/rapid/points/2/added_water", "/rapid/convention"):
        assert f'data-pointer="{pointer}"' in text


def test_a_test_on_index_densities_shows_its_own_percentage(filled: Filled, sign_in: SIGN_IN) -> None:
    references.issue(opened=filled.site.opened("l.finch"), code="R-1", rev=1, body=SAND, now=filled.site.now)
    body = gauge_body(reference="R-1", label="R7")
    done = filled.site.post(body)
    page = sign_in("t.moss").get(f"{filled.root}tests/{done.test.client_uuid}").content.decode()
    assert "Relative density from densities" in page
    assert "relative density" in page
    plot = sign_in("t.moss").get(f"{filled.root}tests/{done.test.client_uuid}/curve.svg")
    assert plot.status_code == 200
    assert b"minimum index density" in plot.content
