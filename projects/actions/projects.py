"""Open a new project: its row, its journal head and its first administrator."""

from datetime import datetime
from typing import Any

from django.db import transaction

from projects import journal
from projects.models import JournalHead, Membership, Project, Role, User


def create(*, user: User, now: datetime, request_id: str = "", **values: Any) -> Project:
    """Create a project with the person as administrator and engineer until others are named."""
    project = Project(**values)
    project.full_clean()
    with transaction.atomic():
        project.save()
        JournalHead.objects.create(project=project)
        for role in (Role.ADMINISTRATOR, Role.ENGINEER):
            Membership.objects.create(project=project, user=user, role=role)
        journal.append(
            project=project,
            actor=journal.Actor(kind="person", ident=user.username, person=user.username, request_id=request_id),
            now=now,
            entries=[
                journal.Entry(
                    kind="project.created",
                    subject_kind="project",
                    subject=project.code,
                    body={
                        "name": project.name,
                        "units": project.units,
                        "words": project.words,
                        "station_format": project.station_format,
                        "epsg_code": project.epsg_code,
                        "vertical_datum": project.vertical_datum,
                        "time_zone": project.time_zone,
                        "failure_radius_m": str(project.failure_radius_m),
                        "members": [
                            {"username": user.username, "role": role} for role in (Role.ADMINISTRATOR, Role.ENGINEER)
                        ],
                    },
                    changes_setup=True,
                )
            ],
        )
    return project
