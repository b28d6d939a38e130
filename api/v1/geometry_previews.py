"""What the next revision of an alignment or an area would move and change, worked out in pieces."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.site import choice_of, content_of, text_of
from compaction.actions import geometry_previews
from compaction.models import GeometryPreview
from projects.geometry.areas import ISSUED_KINDS


def shown(preview: GeometryPreview) -> dict[str, Any]:
    """A run as it stands."""
    counts, rows = geometry_previews.found(preview)
    return {
        "kind": preview.kind,
        "code": preview.code,
        "total": preview.total,
        "looked_at": preview.looked_at,
        "finished": preview.finished_at is not None,
        "moved": counts.moved,
        "farthest_m": counts.farthest_m,
        "no_longer_placed": counts.no_longer_placed,
        "zone_changes": counts.zone_changes,
        "result_changes": counts.result_changes,
        "pass_to_fail": counts.pass_to_fail,
        "fail_to_pass": counts.fail_to_pass,
        "sentence": geometry_previews.sentence(preview),
        "asked_at": answers.plain(preview.asked_at),
        "rows": rows,
    }


class PreviewOfGeometry(ProjectResource):
    """One run: asked for by PUT, looked at by GET until it is finished. It changes nothing."""

    tag = "site"
    operations = {
        "PUT": Operation(
            needs="set-up",
            summary="Ask what a revision of the geometry would change",
            words="The first tests are looked at before the answer; the rest follows in the background.",
            body="GeometryQuestion",
            answers={202: "GeometryPreview", 200: "GeometryPreview"},
            problems=("content-conflict", "content-unreadable"),
        ),
        "GET": Operation(
            needs="read",
            summary="Read a preview of the geometry",
            answers={200: "GeometryPreview"},
            problems=("not-found",),
        ),
    }
    whole_project = True

    def put(self, request: Request, project: str, preview: UUID) -> Response:
        """Ask."""
        sent = self.members("alignment", "area", "kind", "content", required=("content",))
        kind = "area" if "area" in sent else "alignment"
        area_kind = choice_of({"kind": sent.get("kind", "zone")}, "kind", ISSUED_KINDS)
        run = geometry_previews.begin(
            opened=self.opened,
            client_uuid=preview,
            kind=kind,
            code=text_of(sent, kind, 40),
            content=content_of(sent),
            area_kind=area_kind,
            now=self.now,
        )
        return Response(shown(run), status=200 if run.finished_at else 202)

    def get(self, request: Request, project: str, preview: UUID) -> Response:
        """Look."""
        return Response(shown(geometry_previews.read(self.opened, preview)))
