"""Work to be redone: a mark that says which derived rows no longer follow from what they stand on.

The row is the record of the work; a message on the queue is only a hint to look here.
"""

from django.db import models


class StaleWork(models.Model):
    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="stale_work")
    kind = models.CharField(max_length=20)
    key = models.CharField(max_length=80)
    cause = models.CharField(max_length=200, blank=True)
    dirty_rev = models.PositiveIntegerField(default=1)
    computed_rev = models.PositiveIntegerField(default=0)
    attempts = models.PositiveSmallIntegerField(default=0)
    error = models.TextField(blank=True)
    leased_until = models.DateTimeField(null=True, blank=True)
    lease = models.CharField(max_length=32, blank=True, help_text="Who holds it: a token of the claim.")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["project", "kind", "key"], name="stale_work_once"),
            models.CheckConstraint(
                condition=models.Q(computed_rev__lte=models.F("dirty_rev")), name="stale_work_not_ahead"
            ),
        ]
        indexes = [
            models.Index(
                fields=["kind", "project", "key"],
                name="stale_work_due",
                condition=models.Q(computed_rev__lt=models.F("dirty_rev")),
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}: {self.computed_rev} of {self.dirty_rev}"
