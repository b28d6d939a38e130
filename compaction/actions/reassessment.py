"""Derive positions and outcomes again: after a revision, for a preview, and to check a rebuild.

Set-based: a batch of tests costs a fixed number of statements, however many are in it.
"""

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from compaction.actions import coverage_settling, lot_marks, lot_settling, relocation
from compaction.actions.field_tests import SetUpMoved, derived_body, outcome_values
from compaction.actions.relocation import PLACE, Relocated, current_versions
from compaction.models import Decision, Test, TestOutcome, TestPosition, TestVersion
from compaction.queries import set_up
from compaction.queries.derivation import Derived, derive_all, head_values
from projects import journal, stale
from projects.journal import Actor
from projects.models import JournalHead, Project

BATCH = 250
ROBOT = Actor(kind="job", ident="reassessment")


@dataclass(frozen=True)
class Change:
    """What a reassessment does, or would do, to one test."""

    test: Test
    before: str
    after: str
    percent_before: object
    percent_after: object
    basis_before: str
    basis_after: str
    derived: Derived
    version: TestVersion

    @property
    def result_changes(self) -> bool:
        return self.before != self.after

    @property
    def moved(self) -> bool:
        """Whether the spot lies elsewhere on the geometry now in force."""
        values = head_values(self.derived)
        return any(getattr(self.test, name) != values[name] for name in PLACE)

    @property
    def number_changes(self) -> bool:
        return self.test.outcome_digest != self.derived.outcome_digest


def evaluate(tests: list[Test], *, under: set_up.SetUp, worksheet: bool = True) -> list[Change]:
    """Derive each test's current version under a set-up; stores nothing. What is stored afterwards needs worksheets."""
    versions = current_versions(tests)
    records = ((json.loads(versions[test.pk].content), test.received_at) for test in tests)
    changes = []
    for test, derived in zip(tests, derive_all(records, set_up=under, worksheet=worksheet), strict=True):
        changes.append(
            Change(
                test=test,
                before=test.result,
                after=derived.outcome.result,
                percent_before=test.percent_compaction,
                percent_after=head_values(derived)["percent_compaction"],
                basis_before=test.basis,
                basis_after=derived.outcome.basis,
                derived=derived,
                version=versions[test.pk],
            )
        )
    return changes


def reassess(
    *, project: Project, uuids: list[str], causes: dict[str, str], now: datetime, only_place: bool = False
) -> int:
    """Store what changed of these tests, with the cause; returns how many changed.

    A reassessment that changes nothing writes nothing. `only_place` says that nothing but the geometry can have
    changed: outcomes that don't depend on what changed of it stand without an evaluation (see `relocation`).
    """
    setup_seq = JournalHead.objects.get(project=project).setup_seq
    for _ in range(4):
        try:
            with transaction.atomic():
                under = set_up.load(project, setup_seq=setup_seq)
                return _reassess(project, uuids, causes, under, now, only_place=only_place)
        except SetUpMoved:
            setup_seq = JournalHead.objects.get(project=project).setup_seq
    raise SetUpMoved("The set-up changed four times in a row.")


def _reassess(
    project: Project, uuids: list[str], causes: dict[str, str], under: set_up.SetUp, now: datetime, *, only_place: bool
) -> int:
    tests = list(
        Test.objects.select_for_update().filter(project=project, client_uuid__in=uuids).order_by("client_uuid")
    )
    relocated, rest = relocation.split(tests, under=under) if only_place else ([], tests)
    moved = [one for one in relocated if one.moved]
    changes = [
        change
        for change in evaluate(rest, under=under)
        if change.test.outcome_digest != change.derived.outcome_digest
        or change.test.inputs_digest != change.derived.outcome.inputs_digest
        or change.moved
    ]
    if not changes and not moved:
        return 0
    places: list[tuple[TestVersion, Derived | Relocated]] = [
        *((change.version, change.derived) for change in changes),
        *((one.version, one) for one in moved),
    ]
    TestPosition.objects.bulk_create(
        [
            TestPosition(test_version=version, geometry_digest=one.geometry_digest, content=one.position_content)
            for version, one in places
        ],
        ignore_conflicts=True,
    )
    TestOutcome.objects.bulk_create(
        [
            TestOutcome(
                **outcome_values(change.derived),
                test_version=change.version,
                cause=causes.get(str(change.test.client_uuid), "reassessed")[:200],
                computed_at=now,
            )
            for change in changes
        ],
        ignore_conflicts=True,
    )
    entries = [_entry(change.test, derived_body(change.derived), causes) for change in changes]
    entries += [_entry(one.test, one.derived, causes) for one in moved]
    entries.sort(key=lambda entry: entry.subject)
    changed = [*(change.test for change in changes), *(one.test for one in moved)]
    lots = lot_marks.marks(under, changed, "tests reassessed")  # where they were before ...
    _update_heads(project, changes)
    relocation.update_heads(moved)
    lots += lot_marks.marks(under, changed, "tests reassessed")  # ... and where they are now
    stale.mark(project=project, marks=[*_chain_marks(changes, moved), *lots])
    _, found = journal.append(project=project, actor=ROBOT, entries=entries, now=now)
    if found != under.setup_seq:
        raise SetUpMoved
    return len(changed)


def _entry(test: Test, derived: dict[str, Any], causes: dict[str, str]) -> journal.Entry:
    cause = causes.get(str(test.client_uuid), "reassessed")
    return journal.Entry(
        kind="test.reassessed",
        subject_kind="test",
        subject=str(test.client_uuid),
        subject_version=test.current_version,
        body={
            "result_before": test.result,
            "outcome_digest_before": test.outcome_digest,
            "cause": cause,
            **derived,
        },
        reason_code="basis-changed",
        reason=cause,
    )


def _update_heads(project: Project, changes: list[Change]) -> None:
    released: dict[str, set[tuple[str, str]]] = {}
    for subject, detail, basis in Decision.objects.filter(
        project=project,
        subject_kind="test",
        meaning="hold_released",
        subject__in=[str(change.test.client_uuid) for change in changes],
    ).values_list("subject", "detail", "basis_digest"):
        released.setdefault(subject, set()).add((detail, basis))
    fields: set[str] = set()
    for change in changes:
        ruled = released.get(str(change.test.client_uuid), set())
        values = head_values(
            change.derived,
            released=frozenset(code for code, basis in ruled if basis == change.derived.outcome_digest),
        )
        for name, value in values.items():
            setattr(change.test, name, value)
        fields.update(values)
    # An upsert on the key: Django's bulk_update writes a CASE per row and column, many times slower.
    Test.objects.bulk_create(
        [change.test for change in changes],
        update_conflicts=True,
        unique_fields=["id"],
        update_fields=sorted(fields),
    )


def _chain_marks(changes: list[Change], moved: list[Relocated]) -> list[stale.Mark]:
    """Only chains whose part of the story can have moved."""
    told = [
        change.test
        for change in changes
        if change.result_changes or "fail" in (change.before, change.after) or change.test.retest_of
    ]
    told += [one.test for one in moved if one.test.result == "fail" or one.test.retest_of]
    return [
        stale.Mark("chain", str(key), "test reassessed")
        for test in told
        for key in (test.client_uuid, test.retest_of)
        if key
    ]


@dataclass(frozen=True)
class Difference:
    """Where a rebuild from nothing disagrees with what is stored."""

    test: str
    stored: str
    rebuilt: str
    kind: str = "test"


def rebuild_check(project: Project) -> list[Difference]:
    """Derive every current outcome again from what was written, read fresh; list what differs."""
    head = JournalHead.objects.get(project=project)
    under = set_up.read(project, setup_seq=head.setup_seq)
    differences = []
    queryset = Test.objects.filter(project=project).order_by("client_uuid")
    batch: list[Test] = []

    def compare(tests: list[Test]) -> None:
        for change in evaluate(tests, under=under, worksheet=False):
            if change.number_changes or change.test.inputs_digest != change.derived.outcome.inputs_digest:
                differences.append(
                    Difference(str(change.test.client_uuid), change.test.outcome_digest, change.derived.outcome_digest)
                )

    for test in queryset.iterator(chunk_size=BATCH):
        batch.append(test)
        if len(batch) == BATCH:
            compare(batch)
            batch = []
    compare(batch)
    differences += [Difference(*item, kind="lot") for item in lot_settling.rebuild(project)]
    differences += [Difference(*item, kind="lift") for item in coverage_settling.rebuild(project)]
    return differences
