"""Field tests: post one under the client's id, read one, list them."""

from dataclasses import replace
from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api import operations as ask
from api.errors import Problem
from api.operations import Operation, Parameter
from api.pagination import PAGE, page, place
from api.resource import ProjectResource
from api.v1 import answers
from compaction.actions import field_tests
from compaction.actions.refusals import Unknown
from compaction.queries import rows
from projects.access import Open
from projects.journal import Receipt

RESULTS = ("pass", "fail", "pending", "no_criterion", "provisional", "on_hold", "voided")
FILTERS = (
    Parameter("lift", ask.whole(0, 9999), "Lift.", {"type": "integer", "minimum": 0, "maximum": 9999}),
    Parameter(
        "result", ask.choice(*RESULTS), "Result, or basis, hold, void.", {"type": "string", "enum": list(RESULTS)}
    ),
    Parameter("zone", ask.words(40), "Code of a zone.", {"type": "string", "maxLength": 40}),
    Parameter("technician", ask.words(120), "User name of the technician.", {"type": "string", "maxLength": 120}),
    Parameter("reference", ask.words(40), "Code of a reference.", {"type": "string", "maxLength": 40}),
    Parameter("date_from", ask.day, "First day, in the project's time.", {"type": "string", "format": "date"}),
    Parameter("date_to", ask.day, "Last day, in the project's time.", {"type": "string", "format": "date"}),
    Parameter("failures_only", ask.yes_no, "Only tests that fail.", {"type": "string", "enum": ["true", "false"]}),
)


class TestList(ProjectResource):
    """Tests, the newest first."""

    __test__ = False
    tag = "tests"
    operations = {
        "GET": Operation(
            needs="read",
            summary="List tests",
            answers={200: "TestList"},
            parameters=(*FILTERS, *PAGE),
            problems=("cursor",),
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """One page."""
        at = place(f"tests of {project}", self.query)
        chosen = rows.TestFilter(**{key: value for key, value in self.query.items() if key not in ("cursor", "limit")})
        found = rows.test_rows(
            self.opened, chosen, limit=at.limit + 1, after=(at.after[0], at.after[1]) if at.after else None
        )
        shown, following = page(request, at, found, key=lambda item: item.position)
        return Response({"items": [answers.row(item) for item in shown], "next": following})


class TestDetail(ProjectResource):
    """One test under the id that its client gave it."""

    __test__ = False
    tag = "tests"
    operations = {
        "GET": Operation(
            needs="read", summary="Read a test", answers={200: "TestStory"}, headers={"ETag": "Its version."}
        ),
        "PUT": Operation(
            needs="submit-test",
            summary="Record a test",
            words=(
                "The client makes the id (any UUID). The same content again is answered with the first receipt and "
                "`Idempotent-Replay: true`, whatever happened to the record since; other content under the same id is "
                "a conflict. A retest may arrive before the test that it repeats."
            ),
            body="Test",
            answers={201: "RecordedTest", 200: "RecordedTest"},
            problems=("content-conflict", "content-unreadable"),
            headers={"ETag": "Its version.", "Idempotent-Replay": "true if it was on record."},
        ),
    }

    def get(self, request: Request, project: str, test: UUID) -> Response:
        """The test with its versions, worksheet, decisions and what its chain says."""
        story = story_of(self.opened, str(test))
        address = self.address("tests", test)
        told = answers.told(self.opened, story, given=first_receipt(self.opened, story), address=address)
        content = {
            **told,
            "row": answers.row(story.row),
            "content": story.content,
            "position": story.position,
            "worksheet": answers.plain(story.outcome.steps),
            "versions": [version(item) for item in story.versions],
            "decisions": [answers.decision(item) for item in story.decisions],
            "relatives": [answers.row(item) for item in story.relatives],
        }
        return Response(content, headers={"ETag": etag(story.row.version)})

    def put(self, request: Request, project: str, test: UUID) -> Response:
        """Record it, or recognise it."""
        sent = self.document()
        if not isinstance(sent.content, dict):
            raise not_an_object("")
        done = field_tests.record(opened=self.opened, client_uuid=test, body=sent.content, raw=sent.text, now=self.now)
        return answer(self.opened, done, address=self.address("tests", test))


def answer(opened: Open, done: field_tests.Recorded, *, address: str) -> Response:
    """201 with what follows from the record, or 200 with the first receipt and what holds now."""
    if done.created:
        content = answers.recorded(opened, done, address=address)
        return Response(content, status=201, headers={"ETag": etag(done.test.current_version), "Location": address})
    story = rows.story(everything(opened), str(done.test.client_uuid))
    assert story is not None
    return Response(
        answers.told(opened, story, given=done.receipt, address=address),
        headers={"ETag": etag(story.row.version), "Idempotent-Replay": "true"},
    )


def everything(opened: Open) -> Open:
    """For the answer to a repeat: whoever sent the same content may see what became of it."""
    return replace(opened, scopes=None)


def story_of(opened: Open, test: str) -> rows.TestStory:
    """Everything about one test. Raises `Unknown`."""
    story = rows.story(opened, test)
    if story is None:
        raise Unknown("There is no such test in this project.")
    return story


def first_receipt(opened: Open, story: rows.TestStory) -> Receipt | None:
    """The receipt of the first version."""
    for event in story.events:
        if event.kind == "test.recorded":
            return Receipt(opened.project.code, event.seq, event.hash, event.subject_version, event.received_at)
    return None


def version(shown: Any) -> dict[str, Any]:
    """A version as it was written."""
    return {
        "version": shown.version,
        "client_uuid": str(shown.client_uuid),
        "content": answers.stored(shown.content),
        "content_sha256": shown.content_sha256,
        "raw_sha256": shown.raw_sha256,
        "author": shown.author,
        "reason_code": shown.reason_code,
        "reason": shown.reason,
        "received_at": answers.plain(shown.received_at),
    }


def etag(number: int) -> str:
    """The strong tag of a version."""
    return f'"{number}"'


def not_an_object(pointer: str) -> Problem:
    """The body is JSON, but no record."""
    return Problem(
        "content-unreadable",
        "A test is a JSON object.",
        errors=[(pointer, "not-an-object", "This must be a JSON object.")],
    )
