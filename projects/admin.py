"""People can be kept here; projects, roles, keys and the journal are looked at only.

A role or a key that was changed here would leave no line in the journal.
"""

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.db.models import Model
from django.http import HttpRequest

from projects import models


class LookOnly(admin.ModelAdmin):
    """No adding, changing or deleting."""

    list_per_page = 50

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Never."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Never."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Never."""
        return False


class PersonAdmin(UserAdmin):
    """A person who is on record is switched off, not deleted."""

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Never."""
        return False


COLUMNS: dict[type[Model], tuple[str, ...]] = {
    models.Project: ("code", "name", "units", "time_zone"),
    models.Membership: ("project", "user", "role", "valid_from", "valid_until"),
    models.DeviceKey: ("name", "project", "owner", "expires_at", "revoked_at"),
    models.JournalEvent: ("project", "seq", "kind", "subject", "actor", "received_at"),
    models.AlignmentRevision: ("code", "rev", "project", "created_at"),
    models.AreaRevision: ("code", "rev", "project", "kind", "created_at"),
    models.StaleWork: ("project", "kind", "key", "dirty_rev", "computed_rev", "attempts"),
}

admin.site.register(models.User, PersonAdmin)
for _model, _columns in COLUMNS.items():
    admin.site.register(_model, LookOnly, list_display=_columns)
