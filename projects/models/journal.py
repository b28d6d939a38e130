"""The journal of a project: what happened, in order, each event chained to the one before.

Rows are only ever added; triggers on both databases refuse anything else (`projects.journal`).
"""

from django.db import models


class JournalHead(models.Model):
    """One row a project: the last sequence number and hash. Locked last in every transaction."""

    project = models.OneToOneField(
        "projects.Project", on_delete=models.PROTECT, primary_key=True, related_name="journal_head"
    )
    seq = models.PositiveBigIntegerField(default=0)
    hash = models.CharField(max_length=64, default="0" * 64)
    setup_seq = models.PositiveBigIntegerField(
        default=0, help_text="The last event that changed what tests are judged by: it names a cached set-up."
    )

    def __str__(self) -> str:
        return f"{self.project_id} at {self.seq}"


class JournalEvent(models.Model):
    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="journal_events")
    seq = models.PositiveBigIntegerField()
    event_id = models.UUIDField(unique=True)
    schema_version = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=60)
    subject_kind = models.CharField(max_length=30)
    subject = models.CharField(max_length=80)
    subject_version = models.PositiveIntegerField(default=0)
    body = models.TextField(help_text="Exactly the bytes that were hashed.")
    body_sha256 = models.CharField(max_length=64)
    prev_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)
    actor_kind = models.CharField(max_length=10)
    actor = models.CharField(max_length=150)
    acting_person = models.CharField(max_length=150, blank=True)
    performed_at = models.CharField(max_length=40, blank=True, help_text="As written, with its offset.")
    received_at = models.CharField(max_length=32, help_text="UTC, microseconds, as hashed.")
    reason_code = models.CharField(max_length=40, blank=True)
    reason = models.TextField(blank=True)
    request_id = models.CharField(max_length=40, blank=True)
    app_version = models.CharField(max_length=20)

    class Meta:
        ordering = ["project", "seq"]
        constraints = [models.UniqueConstraint(fields=["project", "seq"], name="journal_event_gapless")]
        indexes = [models.Index(fields=["project", "subject_kind", "subject"], name="journal_event_subject")]

    def __str__(self) -> str:
        return f"{self.seq} {self.kind}"
