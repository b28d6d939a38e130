"""Decisions about a test: void it, confirm the void, release a hold."""

from collections.abc import Callable
from functools import partial
from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from compaction.actions import decisions, holds, voids

PROBLEMS = ("content-conflict", "content-unreadable", "conflict", "second-person-needed")


def ruled(done: decisions.Ruled) -> Response:
    """The answer to a decision."""
    content = {"receipt": answers.receipt(done.receipt), "decision": answers.decision(done.decision)}
    return answers.once(content, created=done.created)


class Ruling(ProjectResource):
    """A decision about a test under the client's id."""

    tag = "tests"
    names: tuple[str, ...] = ()

    def decide(self, act: Callable[..., decisions.Ruled], test: UUID, client_uuid: UUID) -> Response:
        """Read the members and act."""
        sent: dict[str, Any] = self.members(*self.names, required=self.names)
        return ruled(act(opened=self.opened, test_uuid=test, client_uuid=client_uuid, body=sent, now=self.now))


class Void(Ruling):
    """Void a test: at once for an own slip of the same day, otherwise a wish that another person confirms."""

    names = ("reason_code", "reason")
    operations = {
        "PUT": Operation(
            needs="void-test",
            summary="Void a test, or ask for it",
            words="`meaning` of the answer says which: `voided`, or `void_asked` until another person confirms.",
            body="Void",
            answers={201: "Ruled", 200: "Ruled"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, test: UUID, void: UUID) -> Response:
        """Ask."""
        return self.decide(voids.ask, test, void)


class VoidConfirmation(Ruling):
    """The second person's word on a void."""

    names = ("reason",)
    operations = {
        "PUT": Operation(
            needs="confirm-void",
            summary="Confirm a void",
            body="Reason",
            answers={201: "Ruled", 200: "Ruled"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, test: UUID, void: UUID, confirmation: UUID) -> Response:
        """Confirm."""
        return self.decide(partial(voids.confirm, void_uuid=void), test, confirmation)


class HoldRelease(Ruling):
    """A supervisor or engineer says why a held reading can stand."""

    names = ("hold", "reason")
    operations = {
        "PUT": Operation(
            needs="release-hold",
            summary="Release a hold",
            body="HoldRelease",
            answers={201: "Ruled", 200: "Ruled"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, test: UUID, release: UUID) -> Response:
        """Release."""
        return self.decide(holds.release, test, release)
