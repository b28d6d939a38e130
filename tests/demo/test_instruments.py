"""What the demo shows of its instruments: counts with one that was off, sand on time, a certificate that ran out."""

from collections import Counter

import pytest

from compaction.demo import instrument_papers, site
from compaction.queries import instrument_lists
from tests.demo.conftest import Loaded

pytestmark = pytest.mark.django_db


def test_every_morning_has_its_counts_and_one_was_off(loaded: Loaded) -> None:
    lines = instrument_lists.count_list(loaded.opened)
    standard = [line for line in lines if line.judged is not None]
    assert Counter(line.record.serial for line in standard) == {"TG-0417": 24, "TG-0892": 25}
    off = [line for line in standard if not line.accepted]
    assert [(line.record.serial, line.record.density_counts) for line in off] == [("TG-0892", (2961,))]
    [stability] = [line for line in lines if line.judged is None]
    assert stability.accepted


def test_tests_stand_on_the_counts_of_their_day(loaded: Loaded) -> None:
    codes = Counter(code for row in loaded.tests.values() for code in row.finding_codes)
    assert [code for code in codes if code.startswith(("standard-count", "cone-", "sand-", "calibration-"))] == []
    assert not {"gauge-not-registered", "apparatus-not-registered", "apparatus-out-of-date"} & set(codes)


def test_sand_cones_after_the_certificate_ran_out_are_remarked_and_count_all_the_same(loaded: Loaded) -> None:
    expired = [row for row in loaded.tests.values() if "operator-certificate-out-of-date" in row.finding_codes]
    last = loaded.scenario.days[instrument_papers.SAND_CONE_EXPIRED_DAY]
    cones = [row for row in loaded.tests.values() if row.method == "sand_cone"]
    after = [row for row in cones if row.performed_at.astimezone(site.ZONE).date() > last]
    assert {row.uuid for row in expired} == {row.uuid for row in after}
    assert len(after) >= 5
    assert [row.label for row in expired if row.open_holds] == []


def test_the_list_has_something_in_each_state(loaded: Loaded) -> None:
    today = loaded.scenario.days[-1]
    found = instrument_lists.instrument_list(loaded.opened, today=today)
    assert {line.worst for line in found.values()} == {"in_date", "due_soon", "out_of_date"}
    sand = found[instrument_papers.SAND]
    assert [[item.code for item in line.record.findings] for line in sand.records] == [
        [],
        ["calibration-out-of-spread"],
        [],
        [],
    ]
    states = {line.state for line in instrument_lists.certificate_list(loaded.opened, today=today)}
    assert states == {"in_date", "out_of_date"}
