"""Project, place, people, access, journal: everything but the engineering."""

from projects.models.journal import JournalEvent, JournalHead
from projects.models.keys import DeviceKey, Scope
from projects.models.people import Membership, Role, User
from projects.models.place import AlignmentRevision, AreaKind, AreaRevision, Reach
from projects.models.project import Project, StationFormat, Units, Words
from projects.models.stale_work import StaleWork

__all__ = [
    "AlignmentRevision",
    "AreaKind",
    "AreaRevision",
    "DeviceKey",
    "JournalEvent",
    "JournalHead",
    "Membership",
    "Project",
    "Reach",
    "Role",
    "Scope",
    "StaleWork",
    "StationFormat",
    "Units",
    "User",
    "Words",
]
