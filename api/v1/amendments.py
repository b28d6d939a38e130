"""Amend a test: a new version in place of the one that is named."""

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.field_tests import etag, everything, not_an_object
from api.v1.preconditions import replaced_version
from compaction.actions import amendments
from compaction.queries import rows


class Amendment(ProjectResource):
    """An amendment under the client's id."""

    tag = "tests"
    operations = {
        "PUT": Operation(
            needs="amend-test",
            summary="Amend a test",
            words="The whole content in its corrected form, with the reason. Nothing is overwritten.",
            body="Amendment",
            answers={201: "RecordedTest", 200: "RecordedTest"},
            problems=(
                "content-conflict",
                "content-unreadable",
                "conflict",
                "not-current",
                "version-required",
                "precondition-contradiction",
            ),
            headers={"ETag": "The new version.", "Idempotent-Replay": "true if it was on record."},
        )
    }

    def put(self, request: Request, project: str, test: UUID, amendment: UUID) -> Response:
        """Store the new version."""
        sent = self.members("replaces", "reason_code", "reason", "test", required=("reason_code", "reason", "test"))
        replaces = replaced_version(request, sent)
        if not isinstance(sent["test"], dict):
            raise not_an_object("/test")
        done = amendments.amend(
            opened=self.opened,
            test_uuid=test,
            client_uuid=amendment,
            replaces=replaces,
            content=sent["test"],
            reason_code=str(sent["reason_code"]),
            reason=str(sent["reason"]),
            raw=self.document().text,
            now=self.now,
        )
        story = rows.story(everything(self.opened), str(test))
        assert story is not None
        address = self.address("tests", test)
        return Response(
            answers.told(self.opened, story, given=done.receipt, address=address),
            status=201 if done.created else 200,
            headers={
                "ETag": etag(story.row.version),
                **({} if done.created else {"Idempotent-Replay": "true"}),
            },
        )
