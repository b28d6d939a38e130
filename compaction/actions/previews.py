"""What a revision would change before anybody commits it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from compaction.actions import references
from compaction.actions.reassessment import BATCH, Change, evaluate
from compaction.actions.refusals import Unknown
from compaction.models import ReferenceRevision, SpecificationRevision, Test
from compaction.queries import cover, set_up
from projects.access import Open


@dataclass(frozen=True)
class Preview:
    """Counts and rows of a change that has not been made. `buried` are new failures already covered."""

    total: int
    changed: int
    pass_to_fail: int
    fail_to_pass: int
    becomes_final: int
    buried: int
    rows: tuple[Change, ...]

    @property
    def sentence(self) -> str:
        return (
            f"Of {self.total} tests looked at, {self.changed} change: {self.pass_to_fail} pass to fail "
            f"({self.buried} of them with fill placed above), {self.fail_to_pass} fail to pass."
        )


def preview_reference(opened: Open, code: str, rev: int, *, now: datetime) -> Preview:
    """What approving this revision of a reference would change."""
    row = ReferenceRevision.objects.filter(project=opened.project, code=code, rev=rev).first()
    if row is None:
        raise Unknown(f"There is no reference {code} rev {rev} in this project.")
    under = set_up.with_reference(_current(opened), set_up.reference_entry(row, now))
    return preview_under(opened, under, lambda tests: tests.filter(references.standing_on(opened, code)))


def preview_specification(opened: Open, code: str, rev: int, *, now: datetime) -> Preview:
    """What approving this revision of a specification would change."""
    row = SpecificationRevision.objects.filter(project=opened.project, code=code, rev=rev).first()
    if row is None:
        raise Unknown(f"There is no specification {code} rev {rev} in this project.")
    under = set_up.with_specification(_current(opened), set_up.specification_entry(row, now))
    return preview_under(opened, under, lambda tests: tests)


def _current(opened: Open) -> set_up.SetUp:
    return set_up.load(opened.project, setup_seq=opened.setup_seq)


def preview_under(opened: Open, under: set_up.SetUp, narrow: Callable) -> Preview:
    """What a set-up would change among the tests that `narrow` leaves."""
    tests = list(narrow(Test.objects.filter(project=opened.project, voided=False)).order_by("performed_at", "id"))
    changes: list[Change] = []
    for start in range(0, len(tests), BATCH):
        changes.extend(
            change
            for change in evaluate(tests[start : start + BATCH], under=under, worksheet=False)
            if change.result_changes
            or change.percent_before != change.percent_after
            or change.basis_before != change.basis_after
        )
    worse = [change for change in changes if change.before == "pass" and change.after == "fail"]
    return Preview(
        total=len(tests),
        changed=len(changes),
        pass_to_fail=len(worse),
        fail_to_pass=sum(1 for change in changes if change.before == "fail" and change.after == "pass"),
        becomes_final=sum(
            1 for change in changes if change.basis_before == "provisional" and change.basis_after == "final"
        ),
        buried=_covered(opened, [change.test for change in worse]),
        rows=tuple(changes),
    )


def _covered(opened: Open, tests: list[Test]) -> int:
    """Over how many of the spots fill was placed since, or a higher lift was tested."""
    above = cover.read(opened.project, tests)
    return sum(1 for test in tests if above.over(test, since=test.performed_at, until=None))
