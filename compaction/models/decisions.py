"""What a person decided, about what, on which figures, and why."""

from django.db import models


class Decision(models.Model):
    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="decisions")
    client_uuid = models.UUIDField()
    subject_kind = models.CharField(max_length=30)  # reference | specification | test | failure | lot | lift
    subject = models.CharField(max_length=80)  # uuid, or "code:rev"
    meaning = models.CharField(max_length=40)
    detail = models.CharField(max_length=80, blank=True)  # for example the code of the hold released
    reason_code = models.CharField(max_length=40, blank=True)
    reason = models.TextField(blank=True)
    basis_digest = models.CharField(max_length=64, blank=True)
    person = models.CharField(max_length=150)
    second_person = models.CharField(max_length=150, blank=True)
    content_sha256 = models.CharField(max_length=64)
    decided_at = models.DateTimeField()

    class Meta:
        ordering = ["decided_at", "client_uuid"]
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="decision_once")]
        indexes = [models.Index(fields=["project", "subject_kind", "subject"], name="decision_by_subject")]

    def __str__(self) -> str:
        return f"{self.meaning}: {self.subject}"
