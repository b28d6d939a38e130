"""Lifts: what is placed, asked for, tested and released; signatures; why some are not tested; totals."""

from dataclasses import fields
from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api import operations as ask
from api.operations import Operation, Parameter
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.revisions import sent_object
from api.v1.rulings import ruled
from compaction.actions import coverage
from compaction.actions.refusals import Unknown
from compaction.coverage.facts import Covered, Tested
from compaction.queries import coverage as coverage_queries
from compaction.queries import coverage_preview, work_left

AREA = Parameter("area", ask.words(40), "Area, as placements name it.", {"type": "string", "maxLength": 40})
STATE = Parameter(
    "state",
    ask.choice(*coverage_queries.STATES),
    "State.",
    {"type": "string", "enum": list(coverage_queries.STATES)},
)
LOUD = Parameter(
    "loud",
    ask.choice("true"),
    "`true`: only lifts with a buried failure or placed over one that was not released.",
    {"type": "string", "enum": ["true"]},
)
BY = Parameter(
    "by",
    ask.choice(*coverage_queries.BY),
    "What to add up by; `lift` unless said.",
    {"type": "string", "enum": list(coverage_queries.BY)},
)
_TEST = (
    "uuid", "label", "performed_at", "method", "purpose", "result", "failure_state", "original", "check", "held",
    "provisional", "voided", "exempt", "buried",
)  # fmt: skip


def row(shown: Covered) -> dict[str, Any]:
    """A lift of an area in a list."""
    return {one.name: answers.plain(getattr(shown, one.name)) for one in fields(Covered)}


class LiftList(ProjectResource):
    """Every lift of every area."""

    tag = "lifts"
    whole_project = True
    operations = {
        "GET": Operation(
            needs="read",
            summary="List lifts with their cover",
            words="As the sweep last found them; `required` is null where no rule holds or a quantity is not known.",
            answers={200: "LiftList"},
            parameters=(AREA, STATE, LOUD),
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """By area and lift."""
        area, state = self.query.get("area"), self.query.get("state")
        if self.query.get("loud"):
            found = [
                one
                for one in coverage_queries.loud(self.opened)
                if area in (None, one.area) and state in (None, one.state)
            ]
        else:
            found = coverage_queries.lift_rows(self.opened, area, state=state)
        return Response({"items": [row(one) for one in found]})


class LiftDetail(ProjectResource):
    """One lift of one area: placements, tests, rules, signatures, reasons."""

    tag = "lifts"
    whole_project = True
    operations = {
        "GET": Operation(
            needs="read",
            summary="Read a lift",
            words="`digest` names the figures; a release sends it back as `basis_digest`.",
            answers={200: "LiftStory"},
        )
    }

    def get(self, request: Request, project: str, area: str, lift: int) -> Response:
        """The lift."""
        story = coverage_queries.group(self.opened, area, lift)
        if story is None:
            raise Unknown("Nothing is placed or tested there in this project.")
        counting = set(story.covered.tests)
        return Response(
            {
                **row(story.covered),
                "stale": work_left.lift_waits(self.opened, lift),
                "placed": answers.plain(story.placements),
                "tests_here": [_test(one, counting) for one in story.tests],
                "rules": answers.plain(story.rules),
                "decisions": [answers.decision(one) for one in story.decisions],
                "notes": [
                    {
                        "id": str(one.client_uuid),
                        "reason_code": one.reason_code,
                        "reason": one.reason,
                        "author": one.author,
                        "noted_at": answers.plain(one.noted_at),
                        "received_at": answers.plain(one.received_at),
                    }
                    for one in story.not_tested
                ],
            }
        )


def _test(shown: Tested, counting: set[str]) -> dict[str, Any]:
    return {**{name: answers.plain(getattr(shown, name)) for name in _TEST}, "counts": shown.uuid in counting}


class LiftRelease(ProjectResource):
    """A signature that releases a lift."""

    tag = "lifts"
    operations = {
        "PUT": Operation(
            needs="release-lift",
            summary="Sign the release of a lift",
            words=(
                "Where the specification wants a signature, or somebody said why tests are not made. It falls by "
                "itself when the figures that it was given on move."
            ),
            body="LiftRelease",
            answers={201: "Ruled", 200: "Ruled"},
            problems=("content-conflict", "content-unreadable", "conflict", "not-current"),
        )
    }

    def put(self, request: Request, project: str, area: str, lift: int, release: UUID) -> Response:
        """Sign it."""
        done = coverage.release(
            opened=self.opened, area=area, lift=lift, client_uuid=release, body=sent_object(self), now=self.now
        )
        return ruled(done)


class NotTested(ProjectResource):
    """Why an area on a lift is not tested."""

    tag = "lifts"
    operations = {
        "PUT": Operation(
            needs="note-not-tested",
            summary="Say why a lift is not tested",
            words="It releases nothing: the lift stays open until somebody signs it.",
            body="NotTestedBody",
            answers={201: "RecordedNotTested", 200: "RecordedNotTested"},
            problems=("content-conflict", "content-unreadable"),
        )
    }

    def put(self, request: Request, project: str, note: UUID) -> Response:
        """Record it."""
        done = coverage.note_not_tested(opened=self.opened, client_uuid=note, body=sent_object(self), now=self.now)
        content = {"id": str(note), "receipt": answers.receipt(done.receipt)}
        return answers.once(content, created=done.created)


class CoverageTotals(ProjectResource):
    """Required, made, passing and short, added up."""

    tag = "lifts"
    whole_project = True
    operations = {
        "GET": Operation(
            needs="read",
            summary="Add up coverage",
            words="By the day of the first fill, where asked by day. `checks` hold for areas, days or materials.",
            answers={200: "CoverageTotals"},
            parameters=(BY,),
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """The sums."""
        by = self.query.get("by", "lift")
        return Response(
            {
                "by": by,
                "items": answers.plain(coverage_queries.totals(self.opened, by)),
                "checks": answers.plain(coverage_queries.checks(self.opened)),
            }
        )


class FrequencyPreview(ProjectResource):
    """What would be required of fill that is planned."""

    tag = "lifts"
    whole_project = True
    operations = {
        "POST": Operation(
            needs="read",
            summary="Preview a frequency",
            words="By the rules in force now, or by `frequency` rules sent along to try them. Nothing is stored.",
            body="FrequencyQuestion",
            answers={200: "FrequencyPreview"},
            problems=("content-unreadable",),
        )
    }

    def post(self, request: Request, project: str) -> Response:
        """Work it out."""
        return Response(answers.plain(coverage_preview.preview(self.opened, sent_object(self), now=self.now)))
