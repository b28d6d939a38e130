"""The journal: its events in their order, and whether the chain holds."""

from rest_framework.request import Request
from rest_framework.response import Response

from api import operations as ask
from api.errors import Problem
from api.operations import Operation, Parameter
from api.pagination import PAGE, page, place
from api.resource import ProjectResource
from api.v1 import answers
from projects import journal

AFTER = Parameter(
    "after", ask.whole(0, 999_999_999), "Only events behind this number.", {"type": "integer", "minimum": 0}
)


class Journal(ProjectResource):
    """Everything that happened, from the first event on."""

    tag = "journal"
    whole_project = True
    operations = {
        "GET": Operation(
            needs="read",
            summary="Read the journal",
            words="`body` is the text that was hashed, byte for byte.",
            answers={200: "Journal"},
            parameters=(AFTER, *PAGE),
            problems=("cursor",),
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """One page."""
        at = place(f"journal of {project}", self.query)
        after = self.query.get("after", 0)
        if at.after:
            if not isinstance(at.after[0], int):
                raise Problem("cursor")
            after = at.after[0]
        found = journal.events_after(self.opened.project, seq=after, limit=at.limit + 1)
        shown, following = page(request, at, found, key=lambda event: [event.seq])
        return Response({"items": [answers.event(event) for event in shown], "next": following})


class JournalVerification(ProjectResource):
    """Walks the whole chain: gaps, altered bodies, altered fields, a head that disagrees."""

    tag = "journal"
    whole_project = True
    operations = {"GET": Operation(needs="read", summary="Verify the journal", answers={200: "JournalVerification"})}

    def get(self, request: Request, project: str) -> Response:
        """Where it does not hold, if anywhere."""
        breaks = journal.verify(self.opened.project)
        return Response(
            {
                "holds": not breaks,
                "breaks": [{"seq": item.seq, "what": item.what} for item in breaks],
            }
        )
