"""Lots: declare before the tests, look at members and verdict, ask what a rule would say, close."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.revisions import PROBLEMS, issued, sent_object
from api.v1.rulings import ruled
from compaction.actions import lots
from compaction.actions.refusals import Unknown
from compaction.models import Lot
from compaction.queries import work_left
from compaction.queries.lots import lot_rows, lot_story


def row(shown: Lot) -> dict[str, Any]:
    """A lot in a list."""
    return {
        "code": shown.code,
        "rev": shown.rev,
        "title": shown.title,
        "state": shown.state,
        "closed_at": answers.plain(shown.closed_at),
        "basis_changed": shown.basis_changed,
        "result": shown.result,
        "basis": shown.basis,
        "tests": shown.tests,
        "failing": shown.failing,
        "outcome_digest": shown.outcome_digest,
    }


class LotList(ProjectResource):
    """Every lot, open ones first."""

    tag = "lots"
    whole_project = True
    operations = {"GET": Operation(needs="read", summary="List lots", answers={200: "LotList"})}

    def get(self, request: Request, project: str) -> Response:
        """The list."""
        return Response({"items": [row(one) for one in lot_rows(self.opened)]})


class LotDetail(ProjectResource):
    """A lot: as declared, its verdict in a sentence with its numbers, every test at its place with the reason."""

    tag = "lots"
    whole_project = True
    operations = {
        "GET": Operation(
            needs="read",
            summary="Read a lot",
            words="`outcome_digest` names the figures; a closing sends it back as `basis_digest`.",
            answers={200: "LotStory"},
        )
    }

    def get(self, request: Request, project: str, code: str) -> Response:
        """The lot."""
        story = lot_story(self.opened, code)
        if story is None:
            raise Unknown("There is no such lot in this project.")
        return Response(
            {
                **row(story.row),
                "stale": "lot" in work_left.kinds_waiting(self.opened, [code]),
                "declared_at": answers.plain(story.facts.declared_at),
                **_outcome(story.content),
                "revisions": [_revision(one) for one in story.revisions],
                "decisions": [answers.decision(one) for one in story.decisions],
                "outcomes": [
                    {
                        "result": one.result,
                        "basis": one.basis,
                        "cause": one.cause,
                        "computed_at": answers.plain(one.computed_at),
                        "outcome_digest": one.outcome_digest,
                    }
                    for one in story.outcomes
                ],
            }
        )


def _revision(shown: Any) -> dict[str, Any]:
    return {
        "rev": shown.rev,
        "title": shown.title,
        "author": shown.author,
        "declared_at": answers.plain(shown.declared_at),
        "reason": shown.reason,
        "content": answers.stored(shown.content),
    }


def _outcome(content: dict[str, Any]) -> dict[str, Any]:
    """The result as stored; empty lists until the sweep has been there."""
    names = ("basis_reasons", "verdicts", "members", "failing")
    return {
        "sentence": content.get("sentence", ""),
        "comparison": content.get("comparison"),
        **{name: content.get(name, []) for name in names},
    }


class LotRevision(ProjectResource):
    """A lot's revision."""

    tag = "lots"
    operations = {
        "PUT": Operation(
            needs="declare-lot",
            summary="Declare a lot, or its next revision",
            words=(
                "The moment of the declaration is the service's: tests made before it do not enter. A revision that "
                "changes what counts starts anew; one that changes words alone does not."
            ),
            body="Lot",
            answers={201: "Issued", 200: "Issued"},
            problems=(*PROBLEMS, "conflict"),
        )
    }

    def put(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Declare."""
        return issued(lots.declare(opened=self.opened, code=code, rev=rev, body=sent_object(self), now=self.now))


class LotPreview(ProjectResource):
    """What a lot's rules would say of the tests so far."""

    tag = "lots"
    whole_project = True
    operations = {
        "POST": Operation(
            needs="read",
            summary="Preview a lot's rules",
            words=(
                "As if the lot had been declared before every test at its place. Nothing is stored, and none of these "
                "tests would enter the lot: a lot is declared before its tests are made."
            ),
            body="Lot",
            answers={200: "LotPreview"},
            problems=("content-unreadable",),
        )
    }

    def post(self, request: Request, project: str) -> Response:
        """Judge."""
        content = lots.preview(opened=self.opened, body=sent_object(self), now=self.now).content
        return Response({"result": content["result"], "basis": content["basis"], **_outcome(content)})


class LotClosing(ProjectResource):
    """An engineer accepts or rejects a lot as a whole."""

    tag = "lots"
    operations = {
        "PUT": Operation(
            needs="close-lot",
            summary="Close a lot",
            words=(
                "`meaning` is accepted or rejected; `basis_digest` is the `outcome_digest` that was looked at. "
                "Failures of single tests are not touched."
            ),
            body="LotClosing",
            answers={201: "Ruled", 200: "Ruled"},
            problems=("content-conflict", "content-unreadable", "conflict", "not-current"),
        )
    }

    def put(self, request: Request, project: str, code: str, closing: UUID) -> Response:
        """Close it."""
        done = lots.close(opened=self.opened, code=code, client_uuid=closing, body=sent_object(self), now=self.now)
        return ruled(done)
