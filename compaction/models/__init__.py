"""Tables of compaction control: observed, derived and decided rows kept apart."""

from compaction.models.apparatus import ApparatusRecord, OperatorCertificate, StandardCount
from compaction.models.coverage import LiftCover, NotTested
from compaction.models.decisions import Decision
from compaction.models.failures import Failure, FailureTest, Rework
from compaction.models.field_tests import Test, TestOutcome, TestPosition, TestVersion
from compaction.models.foresight import GeometryPreview
from compaction.models.gauge_corrections import GaugeCorrection, GaugePair, GaugeRule
from compaction.models.laboratory import ReferenceRevision
from compaction.models.locations import LocationDraw, LocationSubstitution
from compaction.models.lots import Lot, LotOutcome, LotRevision
from compaction.models.observed_areas import ObservedArea
from compaction.models.placements import PlacementVersion
from compaction.models.samples import SampleRevision
from compaction.models.specifications import Criterion, SpecificationRevision

__all__ = [
    "ApparatusRecord",
    "Criterion",
    "Decision",
    "Failure",
    "FailureTest",
    "GaugeCorrection",
    "GaugePair",
    "GaugeRule",
    "GeometryPreview",
    "LiftCover",
    "LocationDraw",
    "LocationSubstitution",
    "Lot",
    "LotOutcome",
    "LotRevision",
    "NotTested",
    "ObservedArea",
    "OperatorCertificate",
    "PlacementVersion",
    "ReferenceRevision",
    "Rework",
    "SampleRevision",
    "SpecificationRevision",
    "StandardCount",
    "Test",
    "TestOutcome",
    "TestPosition",
    "TestVersion",
]
