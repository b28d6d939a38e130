"""Fill as placed: an area, a lift, a day and limits. A change is a new version."""

from django.db import models


class PlacementVersion(models.Model):
    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="placement_versions")
    client_uuid = models.UUIDField()
    version = models.PositiveIntegerField(default=1)
    area = models.CharField(max_length=40)
    lift = models.PositiveIntegerField()
    placed_at = models.DateTimeField()
    alignment = models.CharField(max_length=40, blank=True)
    elevation_top_m = models.DecimalField(max_digits=10, decimal_places=4, null=True, blank=True)
    thickness_m = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    quantity_m3 = models.DecimalField(max_digits=14, decimal_places=3, null=True, blank=True)
    limits = models.TextField(help_text="Canonical JSON of a station-offset range or polygon.")
    content = models.TextField(help_text="Canonical JSON as received.")
    content_sha256 = models.CharField(max_length=64)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "lift", "placed_at"]
        constraints = [
            models.UniqueConstraint(fields=["project", "client_uuid", "version"], name="placement_version_once")
        ]
        indexes = [models.Index(fields=["project", "lift"], name="placement_lift")]

    def __str__(self) -> str:
        return f"lift {self.lift} in {self.area}"
