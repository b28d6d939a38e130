"""Failures: the failing-test log, one failure's story, rework and closing."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api import operations as ask
from api.operations import Operation, Parameter
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.revisions import sent_object
from api.v1.rulings import PROBLEMS, ruled
from compaction.actions import failures
from compaction.actions.refusals import Unknown
from compaction.queries import rows
from compaction.register import FailureRow

OPEN_ONLY = Parameter(
    "open_only", ask.yes_no, "Only failures that are not closed.", {"type": "string", "enum": ["true", "false"]}
)


def failure(row: FailureRow) -> dict[str, Any]:
    """A failure in an answer, with the row of the test that opened it."""
    content: dict[str, Any] = answers.plain(row)
    root = getattr(row, "root", None)
    if root is not None:
        content["root"] = answers.row(root)
    return content


class FailureList(ProjectResource):
    """The failing-test log: what is open first, the oldest on top."""

    tag = "failures"
    whole_project = True
    operations = {
        "GET": Operation(needs="read", summary="List failures", answers={200: "FailureList"}, parameters=(OPEN_ONLY,))
    }

    def get(self, request: Request, project: str) -> Response:
        """The log."""
        found = rows.failure_rows(self.opened, open_only=self.query.get("open_only", False), now=self.now)
        return Response({"items": [failure(row) for row in found]})


class FailureDetail(ProjectResource):
    """A failure in the order of its story."""

    tag = "failures"
    whole_project = True
    operations = {"GET": Operation(needs="read", summary="Read a failure", answers={200: "FailureStory"})}

    def get(self, request: Request, project: str, failure_id: UUID) -> Response:
        """Its tests, reworks and decisions."""
        story = rows.failure_story(self.opened, str(failure_id), now=self.now)
        if story is None:
            raise Unknown("There is no such failure in this project.")
        return Response(
            {
                **failure(story.row),
                "tests": [
                    {
                        "test": str(link.test_uuid),
                        "attempt": link.attempt,
                        "result": link.result,
                        "counts": link.counts,
                        "remark": link.remark,
                        "row": None if row is None else answers.row(row),
                    }
                    for link, row in story.tests
                ],
                "reworks": [
                    {
                        "id": str(work.client_uuid),
                        "performed_at": answers.plain(work.performed_at),
                        "method": work.method,
                        "author": work.author,
                        "content": answers.stored(work.content),
                    }
                    for work in story.reworks
                ],
                "decisions": [answers.decision(item) for item in story.decisions],
            }
        )


class Rework(ProjectResource):
    """What was done to the failed area."""

    tag = "failures"
    operations = {
        "PUT": Operation(
            needs="report-rework",
            summary="Report rework",
            body="Rework",
            answers={201: "RecordedRework", 200: "RecordedRework"},
            problems=("content-conflict", "content-unreadable"),
        )
    }

    def put(self, request: Request, project: str, failure_id: UUID, rework: UUID) -> Response:
        """Record it."""
        done = failures.report_rework(
            opened=self.opened, failure_uuid=failure_id, client_uuid=rework, body=sent_object(self), now=self.now
        )
        content = {"id": str(rework), "receipt": answers.receipt(done.receipt)}
        return answers.once(content, created=done.created)


class Closure(ProjectResource):
    """An engineer closes a failure, accepts it as it is, or says that the fill was removed and replaced."""

    tag = "failures"
    operations = {
        "PUT": Operation(
            needs="close-failure-by-rule",
            summary="Close a failure",
            words=(
                "`meaning` is closed, accepted_as_is or removed_and_replaced. With `basis_digest` (the `chain_digest` "
                "that was looked at) the closing is refused if the figures moved since."
            ),
            body="Closure",
            answers={201: "Ruled", 200: "Ruled"},
            problems=(*PROBLEMS, "not-current"),
        )
    }

    def put(self, request: Request, project: str, failure_id: UUID, closure: UUID) -> Response:
        """Close it."""
        return ruled(
            failures.close(
                opened=self.opened, failure_uuid=failure_id, client_uuid=closure, body=sent_object(self), now=self.now
            )
        )
