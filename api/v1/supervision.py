"""The day's findings for the supervisor, what was found about one, and the switches. Questions, never results."""

from datetime import date
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api import operations as ask
from api.operations import Operation, Parameter
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.rulings import PROBLEMS, ruled
from compaction.actions import supervision as actions
from compaction.queries import supervision as query

DAY = Parameter(
    "day", ask.day, "Project-local day; the newest with tests, if left out.", {"type": "string", "format": "date"}
)


class Supervision(ProjectResource):
    """Repetitions, pace, gauges, curves and satellite fixes of one day."""

    tag = "supervision"
    whole_project = True
    operations = {
        "GET": Operation(
            needs="see-supervision",
            summary="Read a day's findings",
            words=(
                "No result follows from them. `seen` holds what somebody said who looked at these figures; a dismissal "
                "sends `figures_digest` back as `basis_digest`."
            ),
            answers={200: "Supervision"},
            parameters=(DAY,),
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """The day."""
        day = self.query.get("day") or next(iter(query.days(self.opened)), None)
        shown = query.on_day(self.opened, day) if day else []
        return Response(
            {
                "day": day.isoformat() if day else None,
                "switches": query.switches(self.opened),
                "items": [
                    {
                        "id": one.id,
                        "figures_digest": one.digest,
                        "kind": one.finding.kind,
                        "code": one.finding.code,
                        "sentence": one.finding.sentence,
                        "numbers": one.finding.numbers,
                        "tests": [{"id": uuid, "label": label} for uuid, label in one.tests],
                        "seen": answers.decision(one.seen) if one.seen else None,
                        "changed_since": one.changed_since,
                    }
                    for one in shown
                ],
            }
        )


class Dismissal(ProjectResource):
    """Somebody looked at a finding and says what was found. No test is touched."""

    tag = "supervision"
    operations = {
        "PUT": Operation(
            needs="see-supervision",
            summary="Dismiss a finding",
            words="Never one's own tests. It comes back by itself when its figures move.",
            body="FindingDismissal",
            answers={201: "Ruled", 200: "Ruled"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, day: date, finding: str, dismissal: UUID) -> Response:
        """Put it on record."""
        body = self.members("basis_digest", "reason", required=("basis_digest", "reason"))
        return ruled(
            actions.dismiss(
                opened=self.opened, day=day, finding=finding, client_uuid=dismissal, body=body, now=self.now
            )
        )


class Switch(ProjectResource):
    """A kind of findings is switched on or off for the project."""

    tag = "supervision"
    operations = {
        "PUT": Operation(
            needs="switch-supervision",
            summary="Switch a kind of findings on or off",
            words=f"Kinds are {', '.join(query.KIND_CODES)}. The newest decision counts; without one a kind is on.",
            body="SupervisionSwitch",
            answers={201: "Ruled", 200: "Ruled"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, kind: str, decision: UUID) -> Response:
        """Put it on record."""
        body = self.members("on", "reason", required=("on", "reason"))
        return ruled(actions.switch(opened=self.opened, kind=kind, client_uuid=decision, body=body, now=self.now))
