"""Every address with a body that is understood: what the access matrix, the document and the fuzz go through."""

import uuid
from dataclasses import dataclass
from typing import Any

from api.examples import EXAMPLES

ID = "3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10"


@dataclass(frozen=True)
class Call:
    method: str
    tail: str
    needs: str
    body: Any = None
    whole_project: bool = False

    @property
    def fresh_tail(self) -> str:
        """With a new id at its end, where there is one."""
        return self.tail.replace("{new}", str(uuid.uuid4())).replace("{id}", ID)


def example(name: str) -> Any:
    return next(iter(EXAMPLES[name].values()))


CALLS = [
    Call("GET", "", "read"),
    Call("GET", "work-left", "read"),
    Call("GET", "tests", "read"),
    Call("POST", "tests:batch", "submit-test", example("TestBatch")),
    Call("POST", "tests:preview", "submit-test", example("Test")),
    Call("POST", "tests:have", "submit-test", example("TestHave")),
    Call("GET", "tests/{id}", "read"),
    Call("PUT", "tests/{new}", "submit-test", example("Test")),
    Call(
        "PUT",
        "tests/{id}/amendments/{new}",
        "amend-test",
        {**example("Amendment"), "reason_code": "oven-water-content"},
    ),
    Call("PUT", "tests/{id}/voids/{new}", "void-test", example("Void")),
    Call("PUT", "tests/{id}/voids/{id}/confirmations/{new}", "confirm-void", example("Reason")),
    Call("PUT", "tests/{id}/hold-releases/{new}", "release-hold", example("HoldRelease")),
    Call("GET", "placements", "read"),
    Call("GET", "placements/{id}", "read"),
    Call("PUT", "placements/{new}", "submit-placement", example("PlacementBody")),
    Call("GET", "references", "read"),
    Call("GET", "references/P-1/revisions/1", "read"),
    Call("PUT", "references/P-9/revisions/1", "enter-reference", example("Reference")),
    Call("PUT", "references/P-1/revisions/1/approvals/{new}", "approve", example("Reason")),
    Call("GET", "references/P-1/revisions/1/preview-of-approval", "read", whole_project=True),
    Call("GET", "specifications", "read"),
    Call("GET", "specifications/S-1/revisions/1", "read"),
    Call("PUT", "specifications/S-9/revisions/1", "enter-specification", example("Specification")),
    Call("PUT", "specifications/S-1/revisions/1/approvals/{new}", "approve", example("Reason")),
    Call("GET", "specifications/S-1/revisions/1/preview-of-approval", "read", whole_project=True),
    Call("PUT", "alignments/side/revisions/1", "set-up", example("Alignment")),
    Call("PUT", "areas/shell/revisions/1", "set-up", example("Area")),
    Call("PUT", "apparatus/G-1187/records/1", "enter-apparatus", example("Apparatus")),
    Call("GET", "failures", "read", whole_project=True),
    Call("GET", "failures/{id}", "read", whole_project=True),
    Call("PUT", "failures/{id}/reworks/{new}", "report-rework", example("Rework")),
    Call("PUT", "failures/{id}/closures/{new}", "close-failure", example("Closure")),
    Call("GET", "journal", "read", whole_project=True),
    Call("GET", "journal/verify", "read", whole_project=True),
]
