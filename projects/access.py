"""The only way from a person or a key to a project. What is missing and what is not yours look the same."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet

from projects.journal import Actor
from projects.models import DeviceKey, Membership, Project, Role, User

T, S, L, M, E, C, O, A = (  # noqa: E741 - one letter a role keeps the table below readable as a table
    Role.TECHNICIAN,
    Role.SUPERVISOR,
    Role.LABORATORY,
    Role.MANAGER,
    Role.ENGINEER,
    Role.CONTRACTOR,
    Role.OWNER,
    Role.ADMINISTRATOR,
)

MAY: dict[str, frozenset[str]] = {
    "read": frozenset({T, S, L, M, E, C, O, A}),
    "submit-test": frozenset({T, S, E}),
    "amend-test": frozenset({T, S, L, E}),
    "void-test": frozenset({T, S, E}),
    "confirm-void": frozenset({S, E}),
    "release-hold": frozenset({S, E}),
    "submit-placement": frozenset({T, S, M, E, C}),
    "report-rework": frozenset({T, S, M, E, C}),
    "draw-locations": frozenset({T, S, M, E}),
    "close-failure": frozenset({E}),
    "close-failure-by-rule": frozenset({S, E}),  # a supervisor only where the specification says so
    "enter-reference": frozenset({L, S, E}),
    "enter-specification": frozenset({E, M}),
    "approve": frozenset({E}),
    "enter-apparatus": frozenset({S, L, E}),
    "enter-count": frozenset({T, S, L, E}),
    "enter-certificate": frozenset({S, E, A}),
    "declare-lot": frozenset({E, M}),
    "close-lot": frozenset({E}),
    "release-lift": frozenset({E, M}),
    "note-not-tested": frozenset({T, S, M, E}),
    "record-gauge-pair": frozenset({S, L, E}),
    "propose-gauge-correction": frozenset({S, E}),
    "adopt-gauge-correction": frozenset({E}),
    "see-supervision": frozenset({S, E}),
    "switch-supervision": frozenset({E}),
    "record-observation": frozenset({T, S, M, E}),
    "set-up": frozenset({A, E}),
    "manage-people": frozenset({A}),
    "manage-keys": frozenset({A, S}),
}
KEY_SCOPES: dict[str, str] = {
    "draw-locations": "submit",
    "read": "read-project",
    "read-own": "read-own",
    "submit-test": "submit",
    "amend-test": "submit",
    "enter-count": "submit",
    "void-test": "submit",
    "submit-placement": "submit",
    "note-not-tested": "submit",
    "report-rework": "submit",
    "record-observation": "submit",
}


class NotFound(Exception):
    """There is no such project for this caller."""


class NotAllowed(Exception):
    """The caller sees the project but may not do this."""

    def __init__(self, permission: str) -> None:
        self.permission = permission
        roles = ", ".join(sorted(MAY.get(permission, ())))
        super().__init__(f"This needs the right '{permission}', which these roles have: {roles or 'none'}.")


@dataclass(frozen=True)
class Open:
    """A project opened by somebody: what they are, what they may do, and the set-up number seen on the way."""

    project: Project
    actor: Actor
    roles: frozenset[str]
    setup_seq: int
    scopes: frozenset[str] | None = None  # None: a person at a page; else the scopes of a key

    def may(self, permission: str) -> bool:
        if not self.roles & MAY[permission]:
            return False
        return self.scopes is None or KEY_SCOPES.get(permission) in self.scopes

    def require(self, permission: str) -> None:
        if not self.may(permission):
            raise NotAllowed(permission)

    @property
    def only_own(self) -> bool:
        """A key that may read its own records and no others."""
        return self.scopes is not None and "read-project" not in self.scopes


def _in_force(user: User, now: datetime) -> list[Membership]:
    """The person's roles that hold now, each judged by the day of its own project. One statement."""
    if not user.is_authenticated or not user.is_active:
        return []
    rows = Membership.objects.filter(user=user).select_related("project", "project__journal_head")
    return [row for row in rows if _holds_on(row, now.astimezone(row.project.zone_info).date())]


def _holds_on(row: Membership, day: date) -> bool:
    return (row.valid_from is None or row.valid_from <= day) and (row.valid_until is None or row.valid_until >= day)


def visible_projects(user: User, *, now: datetime) -> list[Project]:
    """Every project on which the person has a role today, by code."""
    found = {row.project.pk: row.project for row in _in_force(user, now)}
    return sorted(found.values(), key=lambda project: project.code)


def open_project(user: User, code: str, *, now: datetime, needs: str = "read", request_id: str = "") -> Open:
    """Open a project for a person at a page (one statement). Raises NotFound or NotAllowed."""
    rows = [row for row in _in_force(user, now) if row.project.code == code]
    if not rows:
        raise NotFound(code)
    opened = Open(
        project=rows[0].project,
        actor=Actor(kind="person", ident=user.username, person=user.username, request_id=request_id),
        roles=frozenset(row.role for row in rows),
        setup_seq=rows[0].project.journal_head.setup_seq,
    )
    opened.require(needs)
    return opened


def open_with_key(
    key: DeviceKey, code: str, *, roles: Iterable[str], needs: str | None = "read", request_id: str = ""
) -> Open:
    """Open a project for a device key that has been authenticated; costs no statement."""
    if key.project.code != code:
        raise NotFound(code)
    opened = Open(
        project=key.project,
        actor=Actor(kind="key", ident=key.public_id, person=key.owner.username, request_id=request_id),
        roles=frozenset(roles),
        setup_seq=key.project.journal_head.setup_seq,
        scopes=frozenset(key.scopes.split()),
    )
    if needs is not None:
        if needs == "read" and "read-own" in (opened.scopes or ()):
            return opened
        opened.require(needs)
    return opened


_rosters: dict[tuple[int, int], list[tuple[int, str, date | None, date | None]]] = {}
ROSTERS_KEPT = 200


def roles_on(project: Project, *, setup_seq: int, user_id: int, day: date) -> frozenset[str]:
    """The roles of a person on a day. Kept per set-up number, which every change of the roster raises."""
    key = (project.pk, setup_seq)
    if key not in _rosters:
        if len(_rosters) >= ROSTERS_KEPT:
            _rosters.clear()
        _rosters[key] = list(
            Membership.objects.filter(project=project).values_list("user_id", "role", "valid_from", "valid_until")
        )
    return frozenset(
        role
        for member, role, since, until in _rosters[key]
        if member == user_id and (since is None or since <= day) and (until is None or until >= day)
    )


def roster(project: Project) -> QuerySet[Membership]:
    """Everybody who has, had or will have a role on the project."""
    return Membership.objects.filter(project=project).select_related("user")
