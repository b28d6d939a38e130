"""The administration site looks and does not touch: whatever is on record changes only through actions."""

from typing import Any

from django.contrib import admin
from django.db.models import Model
from django.http import HttpRequest

from compaction import models


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


COLUMNS: dict[type[Model], tuple[str, ...]] = {
    models.Test: ("label", "project", "performed_at", "method", "result", "basis", "voided"),
    models.TestVersion: ("test", "version", "author", "received_at"),
    models.TestOutcome: ("test_version", "result", "percent_compaction", "cause", "computed_at"),
    models.Failure: ("uuid", "project", "kind", "state", "buried", "opened_at"),
    models.Rework: ("failure_uuid", "method", "performed_at", "author"),
    models.Decision: ("subject_kind", "subject", "meaning", "person", "decided_at"),
    models.ReferenceRevision: ("code", "rev", "project", "author", "received_at"),
    models.SpecificationRevision: ("code", "rev", "project", "author", "received_at"),
    models.PlacementVersion: ("area", "lift", "project", "placed_at", "author"),
    models.ObservedArea: ("kind", "area", "lift", "project", "observed_at", "author"),
    models.ApparatusRecord: ("serial", "rev", "project", "kind", "valid_from", "valid_until"),
    models.StandardCount: ("serial", "purpose", "project", "taken_at", "author"),
    models.OperatorCertificate: ("person", "subject", "project", "valid_from", "valid_until"),
}

for _model, _columns in COLUMNS.items():
    admin.site.register(_model, LookOnly, list_display=_columns)
