"""Samples of soil in revisions: what was found of them, as written."""

from django.db import models


class SampleRevision(models.Model):
    """Observed. A revision adds what was found later; the newest one speaks for the sample."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="sample_revisions")
    code = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    description = models.CharField(max_length=200)
    group_symbol = models.CharField(max_length=12, blank=True, help_text="ASTM D2487, as computed on arrival.")
    content = models.TextField(help_text="Canonical JSON as entered: source, gradation, limits, specific gravity.")
    digest = models.CharField(max_length=64, help_text="Of the figures, not of remarks.")
    reason = models.TextField(blank=True)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "code", "rev"]
        constraints = [models.UniqueConstraint(fields=["project", "code", "rev"], name="sample_revision_once")]

    def __str__(self) -> str:
        return f"{self.code} rev {self.rev}"
