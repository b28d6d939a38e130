"""Many tests at once, a look at the result without storing, and what of a queue has arrived."""

import logging
from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api import errors
from api.errors import Problem
from api.operations import Operation
from api.resource import ProjectResource, client_uuid, members
from api.v1 import answers
from api.v1.field_tests import not_an_object
from compaction.actions import field_tests
from compaction.queries.derivation import failed_kinds, margin_text
from compaction.queries.reconciling import digests_on_record
from projects import canonical

logger = logging.getLogger(__name__)
MOST_ITEMS = 500
MOST_BYTES = 2_000_000
MOST_ASKED = 1000


class TestBatch(ProjectResource):
    """Up to 500 tests; each is stored, recognised or refused by itself."""

    __test__ = False
    tag = "tests"
    operations = {
        "POST": Operation(
            needs="submit-test",
            summary="Record many tests",
            words=(
                "Each item has a transaction of its own: one that is refused leaves no trace and stops no other, and "
                "one that is answered with a receipt is on record. An item is kept as canonical text. Answers 200 as "
                "soon as the items were looked at; each result has its own status. An envelope that can't be read, or "
                "is too large, is refused as a whole."
            ),
            body="TestBatch",
            answers={200: "TestBatchResults"},
            problems=("too-many-items", "content-unreadable"),
        )
    }

    def post(self, request: Request, project: str) -> Response:
        """Take the items in their order."""
        sent = self.document()
        if len(sent.text.encode("utf-8")) > MOST_BYTES:
            raise Problem("body-too-large", f"A batch has at most {MOST_BYTES} bytes; nothing was taken.")
        envelope = members(sent.content, "", ("items",), ("items",))
        items = envelope["items"]
        if not isinstance(items, list) or not items:
            sentence = "'items' is an array with at least one test."
            raise Problem("content-unreadable", sentence, errors=[("/items", "not-an-array", sentence)])
        if len(items) > MOST_ITEMS:
            raise Problem(
                "too-many-items", f"{len(items)} items; at most {MOST_ITEMS} are taken at once. Nothing was taken."
            )
        results = [self._one(index, item) for index, item in enumerate(items)]
        return Response({"results": results, "summary": _summary(results)})

    def _one(self, index: int, item: Any) -> dict[str, Any]:
        """The result of one item; whatever is wrong with it stays its own."""
        named = item.get("id") if isinstance(item, dict) and isinstance(item.get("id"), str) else None
        result: dict[str, Any] = {"index": index, "id": named if named is None else named[:36]}
        try:
            found = members(item, "", ("id", "test"), ("id", "test"))
            test = client_uuid(found["id"], "/id")
            if not isinstance(found["test"], dict):
                raise not_an_object("/test")
            done = field_tests.record(
                opened=self.opened,
                client_uuid=test,
                body=found["test"],
                raw=canonical.text(found["test"]),
                now=self.now,
            )
        except (
            Exception
        ) as error:  # an item must not take the others down with it; ours are logged and answered as ours
            return {**result, **self._refused(error)}
        if not done.created:
            return {**result, "status": 200, "receipt": done.receipt.plain()}
        answer = answers.recorded(self.opened, done, address=self.address("tests", test))
        return {**result, "status": 201, "receipt": answer["receipt"], "current": answer["current"]}

    def _refused(self, error: Exception) -> dict[str, Any]:
        problem = errors.problem_of(error)
        if problem is None:
            logger.exception("An item of a batch failed.")
            problem = Problem("internal")
        return {
            "status": problem.kind.status,
            "problem": problem.content(getattr(self.request, "request_id", "-")),
        }


def _summary(results: list[dict[str, Any]]) -> dict[str, int]:
    statuses = [result["status"] for result in results]
    return {
        "items": len(results),
        "recorded": statuses.count(201),
        "repeated": statuses.count(200),
        "refused": sum(1 for status in statuses if status >= 400),
    }


class TestPreview(ProjectResource):
    """What a test would give, without storing it."""

    __test__ = False
    tag = "tests"
    operations = {
        "POST": Operation(
            needs="submit-test",
            summary="Preview a test",
            words="The same evaluation as for a record; nothing is stored and nothing enters the journal.",
            body="Test",
            answers={200: "Preview"},
            problems=("content-unreadable",),
        )
    }

    def post(self, request: Request, project: str) -> Response:
        """Evaluate."""
        sent = self.document()
        if not isinstance(sent.content, dict):
            raise not_an_object("")
        derived = field_tests.preview(opened=self.opened, body=sent.content, now=self.now)
        return Response(
            {
                "current": {
                    **answers.verdict(derived.outcome, self.opened.project),
                    "holds": [{"code": hold.code, "sentence": hold.sentence} for hold in derived.outcome.holds],
                    "margin": margin_text(derived.outcome),
                    "reference": derived.reference,
                    "specification": derived.specification,
                    "would_open_failures": sorted(failed_kinds(derived.outcome)),
                },
                "position": answers.stored(derived.position_content),
                "worksheet": answers.plain(derived.outcome.steps),
            }
        )


class TestHave(ProjectResource):
    """Which of these records are here, for a device that lost track of its queue."""

    __test__ = False
    tag = "tests"
    operations = {
        "POST": Operation(
            needs="submit-test",
            summary="Ask which tests have arrived",
            words=(
                "`sha256` is that of the record's canonical text (keys sorted, no blanks, UTF-8); leave it out to ask "
                "for the id alone."
            ),
            body="TestHave",
            answers={200: "TestHaveResults"},
            problems=("too-many-items", "content-unreadable"),
        )
    }

    def post(self, request: Request, project: str) -> Response:
        """Sort the ids into here, missing, and here with other content."""
        items = members(self.document().content, "", ("items",), ("items",))["items"]
        if not isinstance(items, list):
            sentence = "'items' is an array of ids and digests."
            raise Problem("content-unreadable", sentence, errors=[("/items", "not-an-array", sentence)])
        if len(items) > MOST_ASKED:
            raise Problem("too-many-items", f"{len(items)} items; at most {MOST_ASKED} can be asked for at once.")
        asked = [self._asked(item, f"/items/{index}") for index, item in enumerate(items)]
        here = digests_on_record(self.opened, [str(test) for test, _ in asked])
        sorted_out: dict[str, list[str]] = {"have": [], "missing": [], "different": []}
        for test, digest in asked:
            known = here.get(str(test))
            place = "missing" if known is None else "have" if digest in (None, known) else "different"
            sorted_out[place].append(str(test))
        return Response(sorted_out)

    def _asked(self, item: Any, pointer: str) -> tuple[UUID, str | None]:
        found = members(item, pointer, ("id", "sha256"), ("id",))
        digest = found.get("sha256")
        if digest is not None and not (
            isinstance(digest, str) and len(digest) == 64 and set(digest) <= set("0123456789abcdef")
        ):
            sentence = "A digest is 64 hexadecimal digits in lower case."
            raise Problem("content-unreadable", sentence, errors=[(f"{pointer}/sha256", "not-a-digest", sentence)])
        return client_uuid(found["id"], f"{pointer}/id"), digest
