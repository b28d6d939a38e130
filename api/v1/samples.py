"""Samples of soil: list, read, record a revision. What a reference's points and fits look like in an answer."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.revisions import PROBLEMS, issued, sent_object
from compaction.actions import samples
from compaction.actions.refusals import Unknown
from compaction.queries import laboratory
from compaction.queries.laboratory import SampleLine


def sample(line: SampleLine) -> dict[str, Any]:
    """A revision of a sample: as written, and what follows from it."""
    record = line.record
    classified = record.classification
    return {
        "code": line.code,
        "rev": line.rev,
        "author": line.author,
        "received_at": answers.plain(line.received_at),
        "content": line.content,
        "group_symbol": classified.group_symbol if classified else "",
        "group_name": classified.group_name if classified else "",
        "classified_by": list(classified.way) if classified else [],
        "facts": answers.plain(record.facts),
        "fractions": answers.plain(record.fractions),
        "uniformity_coefficient": answers.plain(record.uniformity),
        "curvature_coefficient": answers.plain(record.curvature),
        "findings": answers.plain(record.findings),
    }


class SampleList(ProjectResource):
    """Samples of the project."""

    tag = "references"
    operations = {"GET": Operation(needs="read", summary="List samples", answers={200: "SampleList"})}

    def get(self, request: Request, project: str) -> Response:
        """Every sample with its revisions, the oldest first."""
        found = laboratory.sample_list(self.opened)
        items = [{"code": code, "revisions": [sample(line) for line in lines]} for code, lines in found.items()]
        return Response({"items": items})


class SampleRevision(ProjectResource):
    """One revision of a sample."""

    tag = "references"
    operations = {
        "GET": Operation(needs="read", summary="Read a sample's revision", answers={200: "SampleRevision"}),
        "PUT": Operation(
            needs="enter-reference",
            summary="Record a sample's revision",
            words="Revisions count from 1 and are never rewritten; the newest one speaks for the sample.",
            body="Sample",
            answers={201: "Issued", 200: "Issued"},
            problems=PROBLEMS,
        ),
    }

    def get(self, request: Request, project: str, code: str, rev: int) -> Response:
        """The sample with its classification."""
        lines = laboratory.sample_list(self.opened).get(code, [])
        line = next((line for line in lines if line.rev == rev), None)
        if line is None:
            raise Unknown(f"There is no revision {rev} of sample {code}.")
        return Response(sample(line))

    def put(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Record it."""
        return issued(samples.record(opened=self.opened, code=code, rev=rev, body=sent_object(self), now=self.now))
