"""Proof rolls and observed areas: kept as written, never a test, accepted only where the specification says so."""

import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from api.examples.supervision import EXAMPLES
from compaction.actions import observed_areas, specifications, sweep
from compaction.actions.kept import Kept
from compaction.actions.refusals import ContentConflict, Refused
from compaction.calculations.errors import ReadingsError
from compaction.models import LiftCover, ObservedArea, Test
from compaction.queries import observed_areas as query
from compaction.queries import set_up
from projects.access import NotAllowed
from projects.models import JournalEvent
from tests.builders import SPECIFICATION, Site, make_project

pytestmark = pytest.mark.django_db
ROLL, WATCHED = EXAMPLES["ObservedArea"]["proof_roll"], EXAMPLES["ObservedArea"]["observed_only"]


@pytest.fixture
def site() -> Site:
    set_up.forget()
    return make_project()


def record(
    site: Site, body: dict[str, Any], *, who: str = "t.moss", id_: uuid.UUID | None = None
) -> Kept[ObservedArea]:
    return observed_areas.record(opened=site.opened(who), client_uuid=id_ or uuid.uuid4(), body=body, now=site.now)


def without(body: dict[str, Any], *names: str) -> dict[str, Any]:
    return {name: value for name, value in body.items() if name not in names}


def test_a_proof_roll_is_kept_with_its_limits_and_counts_as_no_test(site: Site) -> None:
    key = uuid.uuid4()
    done, again = record(site, ROLL, id_=key), record(site, ROLL, id_=key)
    assert (done.created, again.created, done.receipt) == (True, False, again.receipt)
    [row] = query.rows(site.opened())
    assert (row.kind, row.verdict, row.deflection_m, row.passes) == ("proof_roll", "pumping", Decimal("0.0381"), 2)
    assert '"station_from_m":"365.76"' in row.limits  # 12+00
    assert not row.sound
    assert JournalEvent.objects.get(subject=str(key)).kind == "observed_area.recorded"
    sweep.run_until_idle()
    assert Test.objects.count() == 0
    assert LiftCover.objects.count() == 0
    with pytest.raises(ContentConflict):
        record(site, {**ROLL, "passes": 3}, id_=key)


def test_nothing_is_changed_or_taken_away(site: Site) -> None:
    record(site, ROLL)
    for change in (lambda: ObservedArea.objects.update(verdict="stable"), lambda: ObservedArea.objects.all().delete()):
        with pytest.raises(DatabaseError), transaction.atomic():
            change()


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        (without(ROLL, "verdict"), "/verdict"),
        (without(ROLL, "deflection"), "/deflection"),
        ({**ROLL, "deflection": "3 m"}, "/deflection"),
        ({**ROLL, "deflection": "1.5"}, "/deflection"),
        ({**ROLL, "reason_code": "rock_fill"}, "/reason_code"),
        ({**ROLL, "passes": 0}, "/passes"),
        ({**ROLL, "lift": 10000}, "/lift"),
        ({**ROLL, "equipment": " "}, "/equipment"),
        ({**ROLL, "station_to": "999+00"}, "/station_to"),
        ({**ROLL, "alignment": "nowhere"}, "/alignment"),
        ({**ROLL, "dry_density": "113 pcf"}, "/dry_density"),
        ({**ROLL, "replaces": "7"}, "/replaces"),
        (without(WATCHED, "reason_code"), "/reason_code"),
        (without(WATCHED, "watched"), "/watched"),
        ({**WATCHED, "verdict": "stable"}, "/verdict"),
        ({**WATCHED, "reason_code": "other"}, "/remarks"),
    ],
)
def test_what_cannot_be_understood_is_told_by_its_place(site: Site, body: dict[str, Any], pointer: str) -> None:
    with pytest.raises(ReadingsError) as refused:
        record(site, body)
    assert pointer in [error.pointer for error in refused.value.errors]
    assert not ObservedArea.objects.exists()


def test_a_stable_roll_needs_no_depth(site: Site) -> None:
    record(site, {**without(ROLL, "deflection"), "verdict": "stable"})
    assert query.rows(site.opened())[0].sound


def test_a_wrong_record_is_replaced_by_another(site: Site) -> None:
    first = record(site, ROLL).row.client_uuid
    record(site, {**ROLL, "passes": 4, "replaces": str(first)})
    assert [(row.passes, row.replaced) for row in query.rows(site.opened())] == [(4, False), (2, True)]
    with pytest.raises(Refused, match="replaced already"):
        record(site, {**ROLL, "passes": 5, "replaces": str(first)})
    with pytest.raises(Refused, match="no record"):
        record(site, {**ROLL, "replaces": str(uuid.uuid4())})


def test_who_may_record_one(site: Site) -> None:
    for who in ("s.hale", "m.dale", "e.stone"):
        record(site, ROLL, who=who)
    for who in ("c.pike", "o.lake", "l.finch"):
        with pytest.raises(NotAllowed):
            record(site, ROLL, who=who)


def test_it_is_accepted_only_by_the_specification_in_force(site: Site) -> None:
    record(site, ROLL)
    record(site, WATCHED)
    assert [row.accepted for row in query.rows(site.opened())] == [False, False]
    specifications.issue(
        opened=site.opened("m.dale"),
        code="S-1",
        rev=2,
        body={**SPECIFICATION, "observation_accepts": ["core"]},
        now=site.now,
    )
    assert not any(row.accepted for row in query.rows(site.opened()))
    specifications.approve(
        opened=site.opened(), code="S-1", rev=2, client_uuid=uuid.uuid4(), body={"reason": "as contract"}, now=site.now
    )
    found = {row.kind: row for row in query.rows(site.opened())}
    assert (found["observed_only"].accepted, found["observed_only"].specification) == (True, "S-1 rev 2")
    assert not found["proof_roll"].accepted
    record(site, {**WATCHED, "area": "shell"})
    assert [row.accepted for row in query.rows(site.opened(), area="shell")] == [False]
    assert [row.kind for row in query.rows(site.opened(), area="core", lift=5)] == ["observed_only"]
