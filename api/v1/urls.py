"""Addresses of version 1."""

from typing import Any

from django.urls import path

from api import converters
from api.v1 import (
    alignments,
    amendments,
    conversions,
    failures,
    field_tests,
    gauge_comparisons,
    geometry_previews,
    instruments,
    journal,
    lots,
    many_tests,
    placements,
    projects,
    revisions,
    rulings,
    samples,
    site,
    uncertainty,
)

converters.register()


def within(tail: str, view: Any) -> Any:
    """An address within a project."""
    return path(f"projects/<code:project>{tail}", view.as_view(), name=view.__name__)


urlpatterns = [
    path("projects", projects.ProjectList.as_view(), name="ProjectList"),
    within("", projects.ProjectDetail),
    within("/work-left", projects.WorkLeft),
    within("/tests", field_tests.TestList),
    within("/tests:batch", many_tests.TestBatch),
    within("/tests:preview", many_tests.TestPreview),
    within("/tests:have", many_tests.TestHave),
    within("/tests/<id:test>", field_tests.TestDetail),
    within("/tests/<id:test>/amendments/<id:amendment>", amendments.Amendment),
    within("/tests/<id:test>/voids/<id:void>", rulings.Void),
    within("/tests/<id:test>/voids/<id:void>/confirmations/<id:confirmation>", rulings.VoidConfirmation),
    within("/tests/<id:test>/uncertainty", uncertainty.TestUncertainty),
    within("/tests/<id:test>/hold-releases/<id:release>", rulings.HoldRelease),
    within("/placements", placements.PlacementList),
    within("/placements/<id:placement_id>", placements.PlacementDetail),
    within("/samples", samples.SampleList),
    within("/samples/<code:code>/revisions/<rev:rev>", samples.SampleRevision),
    within("/references", revisions.ReferenceList),
    within("/references/<code:code>/revisions/<rev:rev>", revisions.ReferenceRevision),
    within("/references/<code:code>/revisions/<rev:rev>/approvals/<id:approval>", revisions.ReferenceApproval),
    within("/references/<code:code>/revisions/<rev:rev>/preview-of-approval", revisions.ReferencePreview),
    within("/specifications", revisions.SpecificationList),
    within("/specifications/<code:code>/revisions/<rev:rev>", revisions.SpecificationRevision),
    within("/specifications/<code:code>/revisions/<rev:rev>/approvals/<id:approval>", revisions.SpecificationApproval),
    within("/specifications/<code:code>/revisions/<rev:rev>/preview-of-approval", revisions.SpecificationPreview),
    within("/alignments", alignments.AlignmentList),
    within("/alignments:preview", alignments.AlignmentPreviewView),
    within("/alignments/<code:code>/revisions/<rev:rev>", site.Alignment),
    within("/areas", alignments.AreaList),
    within("/positions:convert", conversions.PositionConversion),
    within("/geometry-previews/<id:preview>", geometry_previews.PreviewOfGeometry),
    within("/areas/<code:code>/revisions/<rev:rev>", site.Area),
    within("/apparatus/<code:code>/records/<rev:rev>", site.Apparatus),
    within("/apparatus/<code:code>/records/<rev:rev>/preview", instruments.ApparatusPreview),
    within("/apparatus", instruments.InstrumentList),
    within("/apparatus/<code:code>", instruments.InstrumentDetail),
    within("/standard-counts", instruments.StandardCountList),
    within("/standard-counts:preview", instruments.StandardCountPreview),
    within("/standard-counts/<id:count_id>", instruments.StandardCount),
    within("/certificates", instruments.CertificateList),
    within("/certificates:preview", instruments.CertificatePreview),
    within("/certificates/<id:certificate_id>", instruments.Certificate),
    within("/failures", failures.FailureList),
    within("/failures/<id:failure_id>", failures.FailureDetail),
    within("/failures/<id:failure_id>/reworks/<id:rework>", failures.Rework),
    within("/failures/<id:failure_id>/closures/<id:closure>", failures.Closure),
    within("/lots", lots.LotList),
    within("/lots:preview", lots.LotPreview),
    within("/lots/<code:code>", lots.LotDetail),
    within("/lots/<code:code>/revisions/<rev:rev>", lots.LotRevision),
    within("/lots/<code:code>/closings/<id:closing>", lots.LotClosing),
    within("/gauge-comparisons", gauge_comparisons.GaugeComparisonList),
    within("/gauge-comparisons/<id:comparison>", gauge_comparisons.GaugeComparisonDetail),
    within("/gauge-pairs/<id:pair>", gauge_comparisons.GaugePair),
    within("/gauge-rules/<id:rule>", gauge_comparisons.GaugeRule),
    within("/gauge-corrections", gauge_comparisons.GaugeCorrectionList),
    within("/gauge-corrections:preview", gauge_comparisons.GaugeCorrectionPreview),
    within("/gauge-corrections/<id:correction>", gauge_comparisons.GaugeCorrection),
    within("/gauge-corrections/<id:correction>/adoptions/<id:adoption>", gauge_comparisons.GaugeCorrectionAdoption),
    within("/journal", journal.Journal),
    within("/journal/verify", journal.JournalVerification),
]
