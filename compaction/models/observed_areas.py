"""Areas that were watched instead of tested, or beside tests: proof rolls, rock fill, compaction by method."""

from django.db import models


class ObservedArea(models.Model):
    """Observed. Never a density: what was seen, where and when. A record written wrongly is replaced by another."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="observed_areas")
    client_uuid = models.UUIDField()
    kind = models.CharField(max_length=20)
    area = models.CharField(max_length=40)
    lift = models.PositiveIntegerField(null=True, blank=True)
    observed_at = models.DateTimeField()
    alignment = models.CharField(max_length=40)
    limits = models.TextField(help_text="Canonical JSON of a station-offset range.")
    verdict = models.CharField(max_length=20, blank=True)
    replaces = models.UUIDField(null=True, blank=True, help_text="The record that was written wrongly.")
    content = models.TextField(help_text="Canonical JSON as received.")
    content_sha256 = models.CharField(max_length=64)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "observed_at", "id"]
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="observed_area_once")]
        indexes = [models.Index(fields=["project", "lift", "area"], name="observed_area_by_lift")]

    def __str__(self) -> str:
        return f"{self.kind} in {self.area}"
