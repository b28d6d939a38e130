"""Failures and what was done about them.

A failure's row is a projection of its chain (tests, reworks, decisions, placements); its uuid follows
from the root test and the kind of criterion, so a rebuild gives the same one.
"""

from django.db import models


class Failure(models.Model):
    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="failures")
    uuid = models.UUIDField()
    root_test = models.UUIDField()
    kind = models.CharField(max_length=20)
    state = models.CharField(max_length=30)
    attempts = models.PositiveSmallIntegerField(default=0)
    buried = models.BooleanField(default=False)
    buried_by = models.CharField(max_length=120, blank=True)
    reopened = models.BooleanField(default=False)
    basis_changed = models.BooleanField(default=False, help_text="The figures moved after a person decided.")
    opened_at = models.DateTimeField()
    last_action_at = models.DateTimeField()
    last_action = models.CharField(max_length=200)
    closed_at = models.DateTimeField(null=True, blank=True)
    next_action = models.CharField(max_length=200, blank=True)
    extent_radius_m = models.DecimalField(max_digits=6, decimal_places=2)
    chain_digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["opened_at", "uuid"]
        constraints = [models.UniqueConstraint(fields=["project", "uuid"], name="failure_once")]
        indexes = [
            models.Index(fields=["project", "root_test"], name="failure_by_root"),
            models.Index(fields=["project", "state"], name="failure_by_state"),
            models.Index(fields=["project"], name="failure_unsettled", condition=models.Q(chain_digest="")),
        ]

    def __str__(self) -> str:
        return f"{self.kind} failure {self.uuid}"


class FailureTest(models.Model):
    """Which tests belong to a failure, in which part."""

    failure = models.ForeignKey(Failure, on_delete=models.CASCADE, related_name="test_links")
    test_uuid = models.UUIDField()
    attempt = models.PositiveSmallIntegerField(help_text="0 for the failing test, 1 for the first retest ...")
    result = models.CharField(max_length=20)
    counts = models.BooleanField(default=True)
    remark = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["failure", "attempt"]
        constraints = [models.UniqueConstraint(fields=["failure", "test_uuid"], name="failure_test_once")]

    def __str__(self) -> str:
        return f"attempt {self.attempt} of {self.failure_id}"


class Rework(models.Model):
    """Observed: what was done to the failed area before it was tested again."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="reworks")
    client_uuid = models.UUIDField()
    failure_uuid = models.UUIDField()
    performed_at = models.DateTimeField()
    method = models.CharField(max_length=40)
    content = models.TextField()
    content_sha256 = models.CharField(max_length=64)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["performed_at", "client_uuid"]
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="rework_once")]
        indexes = [models.Index(fields=["project", "failure_uuid"], name="rework_by_failure")]

    def __str__(self) -> str:
        return f"{self.method} at {self.performed_at}"
