"""Placements of fill: record one or a new version of one, read, list."""

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api import operations as ask
from api.errors import Problem
from api.operations import Operation, Parameter
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.field_tests import etag
from api.v1.preconditions import replaced_version
from compaction.actions import placements
from compaction.actions.refusals import Unknown
from compaction.queries import rows
from compaction.register import PlacementRow

LIFT = Parameter("lift", ask.whole(0, 9999), "Lift.", {"type": "integer", "minimum": 0, "maximum": 9999})


class PlacementList(ProjectResource):
    """Current placements, the lowest lift first."""

    tag = "placements"
    operations = {
        "GET": Operation(needs="read", summary="List placements", answers={200: "PlacementList"}, parameters=(LIFT,))
    }

    def get(self, request: Request, project: str) -> Response:
        """All of them, or of one lift."""
        found = rows.placement_rows(self.opened, lift=self.query.get("lift"))
        return Response({"items": [placement(row) for row in found]})


class PlacementDetail(ProjectResource):
    """One placement under the client's id."""

    tag = "placements"
    operations = {
        "GET": Operation(
            needs="read", summary="Read a placement", answers={200: "Placement"}, headers={"ETag": "Its version."}
        ),
        "PUT": Operation(
            needs="submit-placement",
            summary="Record a placement",
            words=(
                "A changed placement is a new version: send `If-Match` with the version that it replaces. Placing over "
                "an open failure is recorded; the failure then counts as buried."
            ),
            body="PlacementBody",
            answers={201: "RecordedPlacement", 200: "RecordedPlacement"},
            problems=("content-conflict", "content-unreadable", "not-current"),
            headers={"ETag": "Its version.", "Idempotent-Replay": "true if it was on record."},
        ),
    }

    def get(self, request: Request, project: str, placement_id: UUID) -> Response:
        """The current version."""
        shown = next((row for row in rows.placement_rows(self.opened) if row.uuid == str(placement_id)), None)
        if shown is None:
            raise Unknown("There is no such placement in this project.")
        return Response(placement(shown), headers={"ETag": etag(shown.version)})

    def put(self, request: Request, project: str, placement_id: UUID) -> Response:
        """Record it."""
        sent = self.document().content
        if not isinstance(sent, dict):
            raise Problem("content-unreadable", errors=[("", "not-an-object", "This must be a JSON object.")])
        replaces = replaced_version(request, {}) if "HTTP_IF_MATCH" in request.META else 0
        done = placements.record(
            opened=self.opened, client_uuid=placement_id, body=sent, now=self.now, replaces=replaces
        )
        content = {
            "id": str(placement_id),
            "version": done.placement.version,
            "receipt": answers.receipt(done.receipt),
            "limits": answers.stored(done.placement.limits),
        }
        return answers.once(
            content,
            created=done.created,
            location=self.address("placements", placement_id),
            headers={"ETag": etag(done.placement.version)},
        )


def placement(row: PlacementRow) -> dict[str, object]:
    """A placement in an answer."""
    content: dict[str, object] = answers.plain(row)
    limits = content.get("limits")
    if isinstance(limits, str):
        content["limits"] = answers.stored(limits)
    return content
