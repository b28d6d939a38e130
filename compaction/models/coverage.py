"""What is known of every area and lift, and why some were not tested.

`LiftCover` is a projection and can be rebuilt; `NotTested` is what a person said.
"""

from django.db import models


class LiftCover(models.Model):
    """Projection: an area on a lift with its state and counts; the content holds all of it."""

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="lift_covers")
    area = models.CharField(max_length=40)
    lift = models.PositiveIntegerField()
    state = models.CharField(max_length=20)
    required = models.PositiveIntegerField(null=True, blank=True, help_text="Empty: no rule, or a quantity not known.")
    made = models.PositiveIntegerField(default=0)
    passing = models.PositiveIntegerField(default=0)
    short = models.PositiveIntegerField(default=0)
    buried = models.PositiveIntegerField(default=0)
    over_unreleased = models.BooleanField(default=False)
    content = models.TextField(help_text="Canonical JSON of the whole.")
    digest = models.CharField(max_length=64, help_text="Of the figures that a release is signed on.")
    computed_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "area", "lift"]
        constraints = [models.UniqueConstraint(fields=["project", "area", "lift"], name="lift_cover_once")]
        indexes = [models.Index(fields=["project", "lift"], name="lift_cover_by_lift")]

    def __str__(self) -> str:
        return f"lift {self.lift} of {self.area}"


class NotTested(models.Model):
    """Decided: why an area on a lift is not tested. The newest record of a group counts."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="not_tested")
    client_uuid = models.UUIDField()
    area = models.CharField(max_length=40)
    lift = models.PositiveIntegerField()
    reason_code = models.CharField(max_length=40)
    reason = models.TextField()
    noted_at = models.DateTimeField(help_text="When it was so, as the person says.")
    content = models.TextField(help_text="Canonical JSON as received.")
    content_sha256 = models.CharField(max_length=64)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["noted_at", "client_uuid"]
        verbose_name_plural = "not tested"
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="not_tested_once")]
        indexes = [models.Index(fields=["project", "area", "lift"], name="not_tested_by_group")]

    def __str__(self) -> str:
        return f"lift {self.lift} of {self.area}: {self.reason_code}"
