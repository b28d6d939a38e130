"""Projects: which there are for the caller, one of them, and how much of it waits for the sweep."""

from datetime import UTC, datetime
from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.authentication import Credential
from api.operations import Operation
from api.permissions import SIGNED_IN
from api.resource import ProjectResource, Resource
from compaction.queries.work_left import work_left
from projects import access
from projects.models import Project, User


def described(project: Project) -> dict[str, Any]:
    """A project in an answer."""
    return {
        "code": project.code,
        "name": project.name,
        "units": project.units,
        "words": project.words,
        "station_format": project.station_format,
        "epsg_code": project.epsg_code,
        "vertical_datum": project.vertical_datum,
        "time_zone": project.time_zone,
        "links": {
            "self": f"/api/v1/projects/{project.code}",
            "tests": f"/api/v1/projects/{project.code}/tests",
            "failures": f"/api/v1/projects/{project.code}/failures",
        },
    }


class ProjectList(Resource):
    """Every project on which the caller has a role today; a key has one."""

    tag = "projects"
    operations = {"GET": Operation(needs=SIGNED_IN, summary="List projects", answers={200: "ProjectList"})}

    def get(self, request: Request) -> Response:
        """The list, by code."""
        if isinstance(request.auth, Credential):
            found = [request.auth.key.project]
        else:
            assert isinstance(request.user, User)
            found = access.visible_projects(request.user, now=datetime.now(UTC))
        return Response({"items": [described(project) for project in found]})


class ProjectDetail(ProjectResource):
    """One project, and what the caller may do in it."""

    tag = "projects"
    operations = {"GET": Operation(needs="read", summary="Read a project", answers={200: "Project"})}

    def get(self, request: Request, project: str) -> Response:
        """The project."""
        return Response(
            {
                **described(self.opened.project),
                "roles": sorted(self.opened.roles),
                "may": sorted(permission for permission in access.MAY if self.opened.may(permission)),
            }
        )


class WorkLeft(ProjectResource):
    """Whether every result follows from everything on record, or what still waits."""

    tag = "projects"
    operations = {"GET": Operation(needs="read", summary="How much is stale", answers={200: "WorkLeft"})}

    def get(self, request: Request, project: str) -> Response:
        """Counts by kind of work."""
        left = work_left(self.opened)
        return Response(
            {
                "up_to_date": left.up_to_date,
                "waiting": left.waiting,
                "failures_unsettled": left.failures_unsettled,
                "parked": left.parked,
            }
        )
