"""The day's findings for the supervisor. Questions, never results."""

from rest_framework.request import Request
from rest_framework.response import Response

from api import operations as ask
from api.operations import Operation, Parameter
from api.resource import ProjectResource
from api.v1 import answers
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
            words="No result follows from them. `seen` holds what somebody said who looked at these figures.",
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
