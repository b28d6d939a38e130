"""Moisture-density references in revisions. The reported maximum and optimum govern; a fit only proposes."""

from django.db import models

from projects.models.place import Reach, reach_choices


class ReferenceRevision(models.Model):
    """Observed. Approval is a `Decision`, so that it can name who, when and on which figures."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="reference_revisions")
    code = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    soil = models.CharField(max_length=200, blank=True)
    method = models.CharField(max_length=30)
    maximum_dry_density_kgm3 = models.DecimalField(max_digits=10, decimal_places=4, null=True, blank=True)
    optimum_water_content_pct = models.DecimalField(max_digits=7, decimal_places=3, null=True, blank=True)
    content = models.TextField(help_text="Canonical JSON as entered: points, fit, oversize rule, specific gravity.")
    digest = models.CharField(max_length=64, help_text="Of the numbers used, not of remarks.")
    reach = models.CharField(max_length=12, choices=reach_choices, default=Reach.ALL)
    effective_from = models.DateField(null=True, blank=True)
    reason = models.TextField(blank=True)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "code", "rev"]
        constraints = [
            models.UniqueConstraint(fields=["project", "code", "rev"], name="reference_revision_once"),
            models.CheckConstraint(
                condition=models.Q(maximum_dry_density_kgm3__gt=0), name="reference_maximum_positive"
            ),
            models.CheckConstraint(
                condition=models.Q(optimum_water_content_pct__gt=0), name="reference_optimum_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} rev {self.rev}"
