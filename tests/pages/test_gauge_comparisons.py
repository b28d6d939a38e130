"""The pages of a gauge against direct tests: what they show to whom, proposing and adopting through the forms."""

import re
import uuid
from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client

from compaction.actions import sweep
from compaction.models import GaugeCorrection, GaugePair, Test
from compaction.queries import gauge_comparisons
from tests.builders import gauge_body, sand_cone_body
from tests.pages.conftest import Filled
from tests.pages.hidden_fields import hidden_of


@pytest.fixture
def paired(filled: Filled) -> str:
    """The address of the comparison of gauge G-1187 on P-1, with five pairs of which the gauge reads wet."""
    for n in range(5):
        gauge = uuid.uuid4()
        body = gauge_body(label=f"G{n}")
        body["readings"] = {**body["readings"], "water_content": f"15.{6 + n % 2} %"}
        filled.site.post(body, id_=gauge)
        filled.site.post(sand_cone_body(label=f"G{n}C", check_of=str(gauge)))
    sweep.run_until_idle()
    [line] = gauge_comparisons.comparisons(filled.site.opened())
    return f"{filled.root}gauge-comparisons/{line.id}"


def test_pairs_drawings_and_cautions_are_shown_to_everybody(
    filled: Filled, paired: str, sign_in: Callable[[str], Client]
) -> None:
    for who in ("t.moss", "o.lake", "e.stone"):
        reader = sign_in(who)
        listed = reader.get(f"{filled.root}gauge-comparisons").content.decode()
        assert paired in listed
        assert "too few pairs" in listed
        page = reader.get(paired).content.decode()
        for shown in ("G0C", "+0.60", "10 CFR 30.34(i)", "95 % confidence interval of it"):
            assert shown in page, shown
        assert ("Propose a correction" in page) == (who == "e.stone")
        assert re.search(r"\son[a-z]+\s*=|\sstyle\s*=|(?:src|href)=\"(?:https?:)?//", page) is None
        for kind in ("sides", "differences"):
            drawn = reader.get(f"{paired}/water_content-{kind}.svg")
            assert (drawn.status_code, drawn["Content-Type"]) == (200, "image/svg+xml; charset=utf-8")
        assert reader.get(f"{paired}/luck-sides.svg").status_code == 404
    stranger = sign_in("x.outside")
    assert stranger.get(paired).status_code == stranger.get(f"{filled.root}gauge-comparisons").status_code == 404


def test_a_correction_is_proposed_seen_and_adopted_by_another(
    filled: Filled, paired: str, sign_in: Callable[[str], Client]
) -> None:
    supervisor, engineer = sign_in("s.hale"), sign_in("e.stone")
    filled.site.post(gauge_body(label="900"), id_=uuid.UUID(int=900))
    given = {
        **hidden_of(supervisor.get(paired).content.decode(), f"{paired}/propose"),
        "water_offset_points": "-0.6",
        "water_offset_points_unit": "%",
        "effective_from": "2026-06-03",
        "reason": "five pairs",
    }
    both = {**given, "water_offset_mass": "-0.6", "water_offset_mass_unit": "pcf"}
    refused = supervisor.post(f"{paired}/propose", both)
    assert refused.status_code == 422
    assert "not both" in refused.content.decode()
    empty = {**given, "water_offset_points": ""}
    assert "or say &#x27;ends&#x27;" in supervisor.post(f"{paired}/propose", empty).content.decode()
    answer = supervisor.post(f"{paired}/propose", given)
    assert answer.status_code == 302, answer.content.decode()
    row = GaugeCorrection.objects.get()
    assert (row.author, row.effective_from, len(row.analysis_digest)) == ("s.hale", date(2026, 6, 3), 64)
    page = engineer.get(answer["Location"]).content.decode()
    assert "Nothing is changed until it is adopted." in page
    assert "Moisture −0.60 points" in page
    assert "Adopt the correction" not in supervisor.get(answer["Location"]).content.decode()
    adoption = {**hidden_of(page, answer["Location"]), "reason": "plot seen"}
    assert supervisor.post(answer["Location"], adoption).status_code == 422
    assert engineer.post(answer["Location"], adoption).status_code == 302
    sweep.run_until_idle()
    assert str(Test.objects.get(client_uuid=uuid.UUID(int=900)).water_content_pct) == "14.400"
    assert "An adopted correction is in force: moisture −0.60 points" in engineer.get(paired).content.decode()
    assert "adopted, newest" in engineer.get(paired).content.decode()
    worksheet = engineer.get(f"{filled.root}tests/{uuid.UUID(int=900)}").content.decode()
    assert "Moisture offset in points of water content" in worksheet
    assert "ASTM D6938, section on calculation; AASHTO T 310" in worksheet
    assert "ASTM D1556, section on calculation" not in worksheet


def test_a_pair_is_taken_out_and_two_tests_are_made_one(
    filled: Filled, paired: str, sign_in: Callable[[str], Client]
) -> None:
    supervisor = sign_in("s.hale")
    page = supervisor.get(paired).content.decode()
    taken = {**hidden_of(page, f"{paired}/pair-state"), "reason": "the hole had caved in"}
    assert supervisor.post(f"{paired}/pair-state", taken).status_code == 302
    assert "taken out" in supervisor.get(paired).content.decode()
    pair = {"client_uuid": str(uuid.uuid4()), "gauge_label": "101", "direct_label": "201", "reason": "beside it"}
    unknown = supervisor.post(f"{paired}/pair", {**pair, "direct_label": "999"})
    assert unknown.status_code == 422
    assert "no direct test with the number 999" in unknown.content.decode()
    assert supervisor.post(f"{paired}/pair", pair).status_code == 302
    assert "paired by a person" in supervisor.get(paired).content.decode()
    assert GaugePair.objects.count() == 2
    assert sign_in("t.moss").post(f"{paired}/pair", pair).status_code == 403


def test_an_engineer_chooses_the_rule(filled: Filled, paired: str, sign_in: Callable[[str], Client]) -> None:
    rule = {"client_uuid": str(uuid.uuid4()), "rule": "common", "reason": "Section 31 of the contract"}
    assert sign_in("s.hale").post(f"{filled.root}gauge-comparisons/rule", rule).status_code == 403
    assert sign_in("e.stone").post(f"{filled.root}gauge-comparisons/rule", rule).status_code == 302
    page = sign_in("o.lake").get(paired).content.decode()
    assert "5 of 5 pairs: enough (Common practice)." in page
    assert "As counted: agrees within the rule" in page
