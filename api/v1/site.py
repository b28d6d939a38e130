"""Where things are and what they are tested with: alignments, areas, apparatus, each in revisions."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.operations import Operation
from api.resource import ProjectResource
from api.v1.revisions import PROBLEMS, issued, sent_object
from compaction.actions import apparatus, place

AREA_KINDS = ("zone", "exempt", "overbuild", "surcharge", "keyway")


def _text(sent: dict[str, Any], name: str, longest: int) -> str:
    value = sent.get(name, "")
    if not isinstance(value, str) or len(value) > longest or not value.isprintable():
        sentence = f"At most {longest} printable characters are taken here."
        raise Problem("content-unreadable", sentence, errors=[(f"/{name}", "text-not-plain", sentence)])
    return value


def _content(sent: dict[str, Any]) -> dict[str, Any]:
    content = sent["content"]
    if not isinstance(content, dict):
        raise Problem("content-unreadable", errors=[("/content", "not-an-object", "This must be a JSON object.")])
    return content


class Alignment(ProjectResource):
    """A revision of an alignment."""

    tag = "site"
    operations = {
        "PUT": Operation(
            needs="set-up",
            summary="Issue an alignment's revision",
            words="Decimals of the geometry travel as strings. Tests located on an older revision are located anew.",
            body="Alignment",
            answers={201: "Issued", 200: "Issued"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Issue it."""
        sent = self.members("name", "content", required=("name", "content"))
        return issued(
            place.issue_alignment(
                opened=self.opened,
                code=code,
                rev=rev,
                name=_text(sent, "name", 120),
                content=_content(sent),
                now=self.now,
            )
        )


class Area(ProjectResource):
    """A revision of a zone or of an exempt area."""

    tag = "site"
    operations = {
        "PUT": Operation(
            needs="set-up",
            summary="Issue an area's revision",
            body="Area",
            answers={201: "Issued", 200: "Issued"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Issue it."""
        sent = self.members("name", "kind", "content", "reason", required=("name", "kind", "content"))
        if sent["kind"] not in AREA_KINDS:
            sentence = f"An area is one of {', '.join(AREA_KINDS)}."
            raise Problem("content-unreadable", sentence, errors=[("/kind", "not-a-choice", sentence)])
        return issued(
            place.issue_area(
                opened=self.opened,
                code=code,
                rev=rev,
                name=_text(sent, "name", 120),
                kind=sent["kind"],
                content=_content(sent),
                reason=_text(sent, "reason", 200),
                now=self.now,
            )
        )


class Apparatus(ProjectResource):
    """A record of a gauge, cone or other instrument and of the time in which its calibration holds."""

    tag = "site"
    operations = {
        "PUT": Operation(
            needs="enter-apparatus",
            summary="Register apparatus",
            body="Apparatus",
            answers={201: "Issued", 200: "Issued"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Register it under its serial number."""
        return issued(
            apparatus.register(opened=self.opened, serial=code, rev=rev, body=sent_object(self), now=self.now)
        )
