"""Where things are and what they are tested with: alignments, areas, apparatus, each in revisions."""

from datetime import date
from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.revisions import PROBLEMS, issued, sent_object
from compaction.actions import apparatus, place
from compaction.actions.refusals import Unknown
from compaction.calculations.errors import ReadingError
from compaction.queries import alignments
from compaction.records.reading import day
from projects.geometry.alignment import Alignment as Geometry
from projects.geometry.areas import ISSUED_KINDS

REACH = ("reach", "effective_from")


def text_of(sent: dict[str, Any], name: str, longest: int) -> str:
    """A short text of the body. Raises `Problem`."""
    value = sent.get(name, "")
    if not isinstance(value, str) or len(value) > longest or not value.isprintable():
        sentence = f"At most {longest} printable characters are taken here."
        raise Problem("content-unreadable", sentence, errors=[(f"/{name}", "text-not-plain", sentence)])
    return value


def choice_of(sent: dict[str, Any], name: str, choices: tuple[str, ...]) -> str:
    """One of a closed list. Raises `Problem`."""
    if sent[name] not in choices:
        sentence = f"One of {', '.join(choices)} is taken here."
        raise Problem("content-unreadable", sentence, errors=[(f"/{name}", "not-a-choice", sentence)])
    return str(sent[name])


def effective_from(sent: dict[str, Any]) -> date | None:
    """The day from which a revision governs; None for all tests. Raises `Problem`."""
    reach = choice_of({"reach": sent.get("reach", "all")}, "reach", ("all", "from_date"))
    if (reach == "from_date") != ("effective_from" in sent):
        sentence = "Give 'effective_from' with reach 'from_date', and only then."
        raise Problem("content-unreadable", sentence, errors=[("/effective_from", "reach-and-day", sentence)])
    if reach == "all":
        return None
    try:
        return day(sent["effective_from"], "/effective_from")
    except ReadingError as error:
        raise Problem(
            "content-unreadable", error.sentence, errors=[(error.pointer, error.code, error.sentence)]
        ) from error


def content_of(sent: dict[str, Any]) -> dict[str, Any]:
    """The geometry of the body. Raises `Problem`."""
    content = sent["content"]
    if not isinstance(content, dict):
        raise Problem("content-unreadable", errors=[("/content", "not-an-object", "This must be a JSON object.")])
    return content


class Alignment(ProjectResource):
    """A revision of an alignment."""

    tag = "site"
    operations = {
        "GET": Operation(
            needs="read", summary="Read an alignment's revision with its elements", answers={200: "AlignmentRevision"}
        ),
        "PUT": Operation(
            needs="set-up",
            summary="Issue an alignment's revision",
            words="Decimals of the geometry travel as strings. Tests located on an older revision are located anew.",
            body="Alignment",
            answers={201: "Issued", 200: "Issued"},
            problems=PROBLEMS,
        ),
    }

    def get(self, request: Request, project: str, code: str, rev: int) -> Response:
        """The revision, its content and what is computed from it."""
        line = alignments.alignment_line(self.opened, code, rev)
        if line is None:
            raise Unknown(f"There is no revision {rev} of {code}.")
        report = alignments.told(self.opened, Geometry.from_plain(line.content))
        return Response({**answers.plain(line), "report": answers.plain(report)})

    def put(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Issue it."""
        sent = self.members("name", "content", *REACH, required=("name", "content"))
        return issued(
            place.issue_alignment(
                opened=self.opened,
                code=code,
                rev=rev,
                name=text_of(sent, "name", 120),
                content=content_of(sent),
                effective_from=effective_from(sent),
                now=self.now,
            )
        )


class Area(ProjectResource):
    """A revision of a zone or of an exempt area."""

    tag = "site"
    operations = {
        "GET": Operation(needs="read", summary="Read an area's revision", answers={200: "AreaRevision"}),
        "PUT": Operation(
            needs="set-up",
            summary="Issue an area's revision",
            body="Area",
            answers={201: "Issued", 200: "Issued"},
            problems=PROBLEMS,
        ),
    }

    def get(self, request: Request, project: str, code: str, rev: int) -> Response:
        """The revision and its content."""
        line = alignments.area_line(self.opened, code, rev)
        if line is None:
            raise Unknown(f"There is no revision {rev} of {code}.")
        size = alignments.area_size(self.opened, line, now=self.now)
        return Response({**answers.plain(line), "size": size})

    def put(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Issue it."""
        sent = self.members("name", "kind", "content", "reason", *REACH, required=("name", "kind", "content"))
        return issued(
            place.issue_area(
                opened=self.opened,
                code=code,
                rev=rev,
                name=text_of(sent, "name", 120),
                kind=choice_of(sent, "kind", ISSUED_KINDS),
                content=content_of(sent),
                reason=text_of(sent, "reason", 200),
                effective_from=effective_from(sent),
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
