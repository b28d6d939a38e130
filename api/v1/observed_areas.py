"""Proof rolls and areas that are observed because they cannot be tested: record, read, list."""

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.placements import LIFT
from api.v1.revisions import sent_object
from compaction.actions import observed_areas
from compaction.actions.refusals import Unknown
from compaction.queries import observed_areas as query


class ObservedAreaList(ProjectResource):
    """Proof rolls and observed areas."""

    tag = "observed areas"
    whole_project = True
    operations = {
        "GET": Operation(
            needs="read",
            summary="List proof rolls and observed areas",
            words="The newest first. `accepted` says that the approved specification takes observation there.",
            answers={200: "ObservedAreaList"},
            parameters=(LIFT,),
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """All of them, or of one lift."""
        found = query.rows(self.opened, lift=self.query.get("lift"))
        return Response({"items": [answer(row) for row in found]})


class ObservedAreaDetail(ProjectResource):
    """One record under the client's id."""

    tag = "observed areas"
    operations = {
        "GET": Operation(needs="read", summary="Read a proof roll or observed area", answers={200: "ObservedAreaRow"}),
        "PUT": Operation(
            needs="record-observation",
            summary="Record a proof roll or observed area",
            words="It counts as no test. A record written wrongly is replaced by another that names it.",
            body="ObservedArea",
            answers={201: "RecordedObservedArea", 200: "RecordedObservedArea"},
            problems=("content-conflict", "content-unreadable", "conflict"),
            headers={"Idempotent-Replay": "true if it was on record."},
        ),
    }

    def get(self, request: Request, project: str, observed: UUID) -> Response:
        """The record."""
        found = query.rows(self.opened, uuid=str(observed))
        if not found:
            raise Unknown("There is no such proof roll or observed area in this project.")
        return Response(answer(found[0]))

    def put(self, request: Request, project: str, observed: UUID) -> Response:
        """Record it."""
        done = observed_areas.record(opened=self.opened, client_uuid=observed, body=sent_object(self), now=self.now)
        content = {
            "id": str(observed),
            "receipt": answers.receipt(done.receipt),
            "limits": answers.stored(done.row.limits),
        }
        return answers.once(content, created=done.created, location=self.address("observed-areas", observed))


def answer(row: query.ObservedAreaRow) -> dict[str, object]:
    """A record in an answer."""
    content: dict[str, object] = answers.plain(row)
    content["limits"] = answers.stored(row.limits)
    return content
