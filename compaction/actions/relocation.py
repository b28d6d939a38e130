"""Tests whose place moved and nothing else: what of an evaluation looks at the place is as it was, so it stands.

After a revision of an alignment or an area most tests lie a little elsewhere and mean what they meant. An outcome
depends on its place through `digests.looked_at` alone (see `inputs_digest`); where that is unchanged the outcome on
record is the one that an evaluation would give, digest for digest, and only the place is written anew.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.db import connection

from compaction import evaluation
from compaction.evaluation import selection
from compaction.evaluation.digests import looked_at
from compaction.facts import Finding, PositionFacts
from compaction.models import Test, TestOutcome, TestPosition, TestVersion
from compaction.queries import set_up
from compaction.queries.derivation import facts_of, place_values, placed, position_text
from projects.geometry.stated import Located

#: columns of the head that follow from the geometry alone
PLACE = (
    "alignment", "station_text", "offset_text", "station_m", "offset_m", "easting_m", "northing_m", "elevation_m",
    "depth_below_grade_m", "zone", "exempt",
)  # fmt: skip


@dataclass(frozen=True)
class Relocated:
    """A test on the geometry in force, its outcome as it was."""

    test: Test
    version: TestVersion
    located: Located
    geometry_digest: str
    derived: dict[str, Any]  # what the journal keeps of the derivation

    @cached_property
    def values(self) -> dict[str, Any]:
        """The columns of the head that follow from the place."""
        return place_values(self.located)

    @property
    def moved(self) -> bool:
        """Whether the spot lies elsewhere than the head of the test says."""
        return any(getattr(self.test, name) != self.values[name] for name in PLACE)

    @property
    def position_content(self) -> str:
        return position_text(self.located)


def current_versions(tests: Iterable[Test]) -> dict[int, TestVersion]:
    """The version in force of each test, without its raw body, in one statement."""
    by_pk = {test.pk: test for test in tests}
    return {
        row.test_id: row
        for row in TestVersion.objects.filter(test__in=list(by_pk)).defer("raw_body").order_by("version")
        if row.version == by_pk[row.test_id].current_version
    }


def split(tests: Sequence[Test], *, under: set_up.SetUp) -> tuple[list[Relocated], list[Test]]:
    """Tests whose outcome stands, placed anew, and those that have to be evaluated. Three statements."""
    versions = current_versions(tests)
    ids = [version.pk for version in versions.values()]
    places: dict[int, list[dict[str, Any]]] = {}
    for number, content in (
        TestPosition.objects.filter(test_version__in=ids).order_by("-id").values_list("test_version_id", "content")
    ):
        places.setdefault(number, []).append(json.loads(content))
    outcomes = {
        (row["test_version_id"], row["inputs_digest"], row["outcome_digest"]): row
        for row in TestOutcome.objects.filter(
            test_version__in=ids, calculation_version=evaluation.CALCULATION_VERSION
        ).values("test_version_id", "inputs_digest", "outcome_digest", "reference", "specification")
    }
    relocated, rest = [], []
    for test in tests:
        version = versions[test.pk]
        outcome = outcomes.get((version.pk, test.inputs_digest, test.outcome_digest))
        before = next((facts for one in places.get(version.pk, ()) if (facts := _stored(one, test))), None)
        located = placed(json.loads(version.content), performed_at=test.performed_at, lift=test.lift, set_up=under)
        if outcome is None or before is None or looked_at(before) != looked_at(facts_of(located)):
            rest.append(test)
            continue
        geometry_digest = under.geometry_digest(test.performed_at)
        derived = {
            "geometry_digest": geometry_digest,
            "inputs_digest": test.inputs_digest,
            "outcome_digest": test.outcome_digest,
            "calculation_version": evaluation.CALCULATION_VERSION,
            "result": test.result,
            "basis": test.basis,
            "reference": outcome["reference"],
            "specification": outcome["specification"],
        }
        relocated.append(Relocated(test, version, located, geometry_digest, derived))
    return relocated, rest


def _stored(place: dict[str, Any], test: Test) -> PositionFacts | None:
    """What an evaluation looks at in a stored position; None if the head of the test speaks of another one."""
    facts = PositionFacts(
        elevation_m=_decimal(place["elevation_m"]),
        depth_below_grade_m=_decimal(place["depth_below_grade_m"]),
        zone=place["zone"],
        exempt=place["exempt"],
        findings=tuple(Finding(*found) for found in place["findings"]),
    )
    same = (
        (test.zone, test.exempt, test.station_text, test.offset_text)
        == (facts.zone, facts.exempt, place["station_text"], place["offset_text"])
        and test.easting_m == _decimal(place["easting_m"])
        and test.northing_m == _decimal(place["northing_m"])
        and test.depth_below_grade_m == facts.depth_below_grade_m
    )
    return facts if same else None


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def same_result(test: Test, located: Located, *, under: set_up.SetUp) -> bool:
    """Whether the criteria that judge a test are chosen there by the same facts, so that its result stands.

    Findings never change a result, so they are not compared. The result on record must not be stale.
    """
    if (test.zone, test.exempt) != (located.zone, located.exempt):
        return False
    specification = None if located.exempt else under.specification(located.zone, test.performed_at)
    if specification is None:
        return True
    if selection.looks_at_depth(specification) and test.depth_below_grade_m != located.depth_below_grade_m:
        return False
    return not selection.looks_at_more(specification) or test.elevation_m == located.elevation_m


def update_heads(moved: Sequence[Relocated]) -> None:
    """Write the places into the heads of the tests."""
    names = sorted(place_values(Located()))
    fields: list[Any] = [Test._meta.get_field(name) for name in names]
    columns = ", ".join(f'"{field.column}" = %s' for field in fields)
    rows = []
    for one in moved:
        for name, value in one.values.items():
            setattr(one.test, name, value)
        rows.append([*(field.get_db_prep_save(one.values[field.name], connection) for field in fields), one.test.pk])
    with connection.cursor() as cursor:  # one plan for all rows; an upsert would send every column of every test
        cursor.executemany(f'UPDATE "{Test._meta.db_table}" SET {columns} WHERE "id" = %s', rows)
