"""What references and specifications have in common: issue a revision, approve it, see what approval would change."""

from collections.abc import Callable
from typing import Any, ClassVar
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.rulings import ruled
from compaction.actions import previews, references, specifications
from compaction.actions.refusals import Unknown
from compaction.actions.revisions import Issued
from compaction.queries import curve_reviews, set_up_lists

PROBLEMS = ("content-conflict", "content-unreadable", "revision-conflict")


def issued(done: Issued) -> Response:
    """The answer to a revision."""
    content = {
        "created": done.created,
        "rev": done.revision.rev,
        "receipt": answers.receipt(done.receipt),
    }
    return answers.once(content, created=done.created)


def sent_object(resource: ProjectResource) -> dict[str, Any]:
    """The body as an object. Raises `Problem`."""
    content = resource.document().content
    if not isinstance(content, dict):
        raise Problem("content-unreadable", errors=[("", "not-an-object", "This must be a JSON object.")])
    return content


class Kind(ProjectResource):
    """Where the actions and the list of one kind are."""

    listed: ClassVar[Callable[..., Any]]
    issue: ClassVar[Callable[..., Issued]]
    approve: ClassVar[Callable[..., Any]]
    previewed: ClassVar[Callable[..., Any]]


class Reference(Kind):
    """Moisture-density references."""

    tag = "references"
    listed = staticmethod(set_up_lists.reference_list)
    issue = staticmethod(references.issue)
    approve = staticmethod(references.approve)
    previewed = staticmethod(previews.preview_reference)


class Specification(Kind):
    """Specifications."""

    tag = "specifications"
    listed = staticmethod(set_up_lists.specification_list)
    issue = staticmethod(specifications.issue)
    approve = staticmethod(specifications.approve)
    previewed = staticmethod(previews.preview_specification)


class ListView(Kind):
    """Every code with its revisions, the oldest first."""

    def get(self, request: Request, project: str) -> Response:
        """The list."""
        found = type(self).listed(self.opened)
        return Response(
            {
                "items": [
                    {"code": code, "revisions": [answers.revision(line) for line in lines]}
                    for code, lines in found.items()
                ]
            }
        )


class RevisionView(Kind):
    """One revision."""

    def get(self, request: Request, project: str, code: str, rev: int) -> Response:
        """The revision with its approval."""
        lines = type(self).listed(self.opened).get(code, [])
        line = next((line for line in lines if line.rev == rev), None)
        if line is None:
            raise Unknown(f"There is no revision {rev} of {code}.")
        return Response(answers.revision(line))

    def put(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Issue it."""
        return issued(type(self).issue(opened=self.opened, code=code, rev=rev, body=sent_object(self), now=self.now))


class ApprovalView(Kind):
    """An engineer's approval; whoever entered the revision can't give it."""

    def put(self, request: Request, project: str, code: str, rev: int, approval: UUID) -> Response:
        """Approve."""
        sent = self.members("reason", required=("reason",))
        return ruled(
            type(self).approve(opened=self.opened, code=code, rev=rev, client_uuid=approval, body=sent, now=self.now)
        )


class PreviewView(Kind):
    """What approving the revision would change, before anybody does it."""

    def get(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Counts, and each test that changes."""
        found = type(self).previewed(self.opened, code, rev, now=self.now)
        return Response(
            {
                "total": found.total,
                "changed": found.changed,
                "pass_to_fail": found.pass_to_fail,
                "fail_to_pass": found.fail_to_pass,
                "becomes_final": found.becomes_final,
                "buried": found.buried,
                "sentence": found.sentence,
                "rows": [change(row) for row in found.rows],
            }
        )


def change(row: previews.Change) -> dict[str, Any]:
    """One test of a preview."""
    return {
        "test": str(row.test.client_uuid),
        "label": row.test.label,
        "result_before": row.before,
        "result_after": row.after,
        "basis_before": row.basis_before,
        "basis_after": row.basis_after,
        "percent_compaction_before": answers.plain(row.percent_before),
        "percent_compaction_after": answers.plain(row.percent_after),
    }


def listing(words: str) -> dict[str, Operation]:
    """What a list of revisions declares."""
    return {"GET": Operation(needs="read", summary=f"List {words}s", answers={200: "RevisionList"})}


def revising(words: str, needs: str, body: str, *, answer: str = "Revision") -> dict[str, Operation]:
    """What one revision declares."""
    return {
        "GET": Operation(needs="read", summary=f"Read a {words}'s revision", answers={200: answer}),
        "PUT": Operation(
            needs=needs,
            summary=f"Issue a {words}'s revision",
            words="Revisions count from 1 and are never rewritten.",
            body=body,
            answers={201: "Issued", 200: "Issued"},
            problems=PROBLEMS,
        ),
    }


def approving(words: str) -> dict[str, Operation]:
    """What an approval declares."""
    return {
        "PUT": Operation(
            needs="approve",
            summary=f"Approve a {words}'s revision",
            words="Every test that it reaches is evaluated again; look at the preview first.",
            body="Reason",
            answers={201: "Ruled", 200: "Ruled"},
            problems=("content-conflict", "content-unreadable", "conflict", "second-person-needed"),
        )
    }


def previewing(words: str) -> dict[str, Operation]:
    """What a preview declares."""
    return {
        "GET": Operation(
            needs="read", summary=f"Preview the approval of a {words}'s revision", answers={200: "ApprovalPreview"}
        )
    }


class ReferenceList(ListView, Reference):
    """References of the project."""

    operations = listing("reference")


class ReferenceRevision(RevisionView, Reference):
    """One revision of a reference."""

    operations = revising("reference", "enter-reference", "Reference", answer="ReferenceRevision")

    def get(self, request: Request, project: str, code: str, rev: int) -> Response:
        """The revision with its points worked out, every fit beside the reported values, and all findings."""
        listed = set_up_lists.reference_list(self.opened)
        line = next((line for line in listed.get(code, []) if line.rev == rev), None)
        if line is None:
            raise Unknown(f"There is no revision {rev} of {code}.")
        review = curve_reviews.reviews(self.opened, listed, code)[rev]
        return Response(
            {
                **answers.revision(line),
                "points": answers.plain(review.points),
                "fits": answers.plain(review.fits),
                "findings": answers.plain(review.findings),
                "sample": review.sample,
            }
        )


class ReferenceApproval(ApprovalView, Reference):
    """Its approval."""

    operations = approving("reference")


class ReferencePreview(PreviewView, Reference):
    """What approving it would change."""

    whole_project = True
    operations = previewing("reference")


class SpecificationList(ListView, Specification):
    """Specifications of the project."""

    operations = listing("specification")


class SpecificationRevision(RevisionView, Specification):
    """One revision of a specification."""

    operations = revising("specification", "enter-specification", "Specification")


class SpecificationApproval(ApprovalView, Specification):
    """Its approval."""

    operations = approving("specification")


class SpecificationPreview(PreviewView, Specification):
    """What approving it would change."""

    whole_project = True
    operations = previewing("specification")
