"""What a revision of the geometry would change, worked out piece by piece: work in progress, not evidence."""

from django.db import models


class GeometryPreview(models.Model):
    """One run of "what if": it goes on where it stopped, and starts again when the set-up has moved."""

    project = models.ForeignKey("projects.Project", on_delete=models.CASCADE, related_name="geometry_previews")
    client_uuid = models.UUIDField()
    kind = models.CharField(max_length=10, help_text="alignment or area")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    content = models.TextField(help_text="Canonical JSON of the revision that is asked about.")
    digest = models.CharField(max_length=64)
    setup_seq = models.PositiveBigIntegerField(help_text="The set-up that it was compared with.")
    reached = models.PositiveBigIntegerField(default=0, help_text="Tests up to this row have been looked at.")
    looked_at = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    counts = models.TextField(default="{}")
    rows = models.TextField(default="[]", help_text="The first changes, as canonical JSON.")
    asked_by = models.CharField(max_length=150)
    asked_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at"]
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="geometry_preview_once")]

    def __str__(self) -> str:
        return f"{self.kind} {self.code}: {self.looked_at} of {self.total}"
