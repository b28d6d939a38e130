"""Addresses of version 1."""

from typing import Any

from django.urls import path

from api import converters
from api.v1 import (
    amendments,
    failures,
    field_tests,
    journal,
    many_tests,
    placements,
    projects,
    revisions,
    rulings,
    site,
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
    within("/tests/<id:test>/hold-releases/<id:release>", rulings.HoldRelease),
    within("/placements", placements.PlacementList),
    within("/placements/<id:placement_id>", placements.PlacementDetail),
    within("/references", revisions.ReferenceList),
    within("/references/<code:code>/revisions/<rev:rev>", revisions.ReferenceRevision),
    within("/references/<code:code>/revisions/<rev:rev>/approvals/<id:approval>", revisions.ReferenceApproval),
    within("/references/<code:code>/revisions/<rev:rev>/preview-of-approval", revisions.ReferencePreview),
    within("/specifications", revisions.SpecificationList),
    within("/specifications/<code:code>/revisions/<rev:rev>", revisions.SpecificationRevision),
    within("/specifications/<code:code>/revisions/<rev:rev>/approvals/<id:approval>", revisions.SpecificationApproval),
    within("/specifications/<code:code>/revisions/<rev:rev>/preview-of-approval", revisions.SpecificationPreview),
    within("/alignments/<code:code>/revisions/<rev:rev>", site.Alignment),
    within("/areas/<code:code>/revisions/<rev:rev>", site.Area),
    within("/apparatus/<code:code>/records/<rev:rev>", site.Apparatus),
    within("/failures", failures.FailureList),
    within("/failures/<id:failure_id>", failures.FailureDetail),
    within("/failures/<id:failure_id>/reworks/<id:rework>", failures.Rework),
    within("/failures/<id:failure_id>/closures/<id:closure>", failures.Closure),
    within("/journal", journal.Journal),
    within("/journal/verify", journal.JournalVerification),
]
