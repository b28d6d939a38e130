"""Tables of compaction control: observed, derived and decided rows kept apart."""

from compaction.models.apparatus import ApparatusRecord
from compaction.models.decisions import Decision
from compaction.models.failures import Failure, FailureTest, Rework
from compaction.models.field_tests import Test, TestOutcome, TestPosition, TestVersion
from compaction.models.laboratory import ReferenceRevision
from compaction.models.placements import PlacementVersion
from compaction.models.specifications import Criterion, SpecificationRevision

__all__ = [
    "ApparatusRecord",
    "Criterion",
    "Decision",
    "Failure",
    "FailureTest",
    "PlacementVersion",
    "ReferenceRevision",
    "Rework",
    "SpecificationRevision",
    "Test",
    "TestOutcome",
    "TestPosition",
    "TestVersion",
]
