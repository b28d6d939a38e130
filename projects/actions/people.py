"""Give and end roles. Every change raises the set-up number, so it counts from the next request on."""

from datetime import date, datetime

from django.db import transaction

from projects import journal
from projects.access import Open
from projects.models import Membership, Role, User


def add_member(
    *,
    opened: Open,
    user: User,
    role: str,
    now: datetime,
    valid_from: date | None = None,
    valid_until: date | None = None,
) -> Membership:
    """Give a person a role on the project."""
    opened.require("manage-people")
    if role not in Role.values:
        raise ValueError(f"{role} is not a role; the roles are {', '.join(Role.values)}.")
    with transaction.atomic():
        member, _ = Membership.objects.update_or_create(
            project=opened.project,
            user=user,
            role=role,
            defaults={"valid_from": valid_from, "valid_until": valid_until},
        )
        _write(opened, "member.set", user.username, role, valid_from, valid_until, now)
    return member


def end_membership(*, opened: Open, user: User, role: str, last_day: date, now: datetime) -> None:
    """Let a role end after a day; the person stays on the roster for the days before."""
    opened.require("manage-people")
    with transaction.atomic():
        Membership.objects.filter(project=opened.project, user=user, role=role).update(valid_until=last_day)
        _write(opened, "member.ended", user.username, role, None, last_day, now)


def _write(
    opened: Open, kind: str, username: str, role: str, since: date | None, until: date | None, now: datetime
) -> None:
    journal.append(
        project=opened.project,
        actor=opened.actor,
        now=now,
        entries=[
            journal.Entry(
                kind=kind,
                subject_kind="person",
                subject=username,
                body={
                    "username": username,
                    "role": role,
                    "valid_from": since.isoformat() if since else None,
                    "valid_until": until.isoformat() if until else None,
                },
                changes_setup=True,
            )
        ],
    )
