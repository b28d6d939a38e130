"""Which lots and lifts have to be looked at again when tests change: those at whose place the tests were or are."""

from collections.abc import Iterable

from compaction.actions import coverage_marks
from compaction.models import Test
from compaction.queries import lot_places, set_up
from projects import stale
from projects.models import JournalHead, Project


def marks(under: set_up.SetUp, tests: Iterable[Test], cause: str, *, lifts: bool = True) -> list[stale.Mark]:
    """Marks for the lots of a set-up and, unless their failures mark them, the lifts of the tests; no statement."""
    made = list(tests)
    lots = [stale.Mark("lot", code, cause) for code in sorted(lot_places.codes_at(under.lots, made))]
    return [*lots, *coverage_marks.marks(made, cause)] if lifts else lots


def marks_now(project: Project, tests: Iterable[Test], cause: str) -> list[stale.Mark]:
    """The same for an action that works without a set-up: voids and holds. One statement."""
    seq = JournalHead.objects.values_list("setup_seq", flat=True).get(project=project)
    return marks(set_up.load(project, setup_seq=seq), tests, cause)
