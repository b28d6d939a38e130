"""What a test is judged by: revisions of a specification and their criteria."""

from django.db import models

from projects.models.place import Reach, reach_choices


class SpecificationRevision(models.Model):
    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="specification_revisions")
    code = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    title = models.CharField(max_length=200)
    edition = models.CharField(max_length=200, blank=True, default="")
    content = models.TextField(help_text="Canonical JSON as entered, with rounding steps and hold limits.")
    digest = models.CharField(max_length=64)
    reach = models.CharField(max_length=12, choices=reach_choices, default=Reach.ALL)
    effective_from = models.DateField(null=True, blank=True)
    reason = models.TextField(blank=True)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "code", "rev"]
        constraints = [models.UniqueConstraint(fields=["project", "code", "rev"], name="specification_revision_once")]

    def __str__(self) -> str:
        return f"{self.code} rev {self.rev}"


class Criterion(models.Model):
    append_only = True

    specification = models.ForeignKey(SpecificationRevision, on_delete=models.PROTECT, related_name="criteria")
    number = models.PositiveSmallIntegerField()
    quantity = models.CharField(max_length=40)
    minimum = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    maximum = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    contractual = models.BooleanField(default=True)
    zone = models.CharField(max_length=40, blank=True)
    depth_from_m = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    depth_to_m = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    clause = models.TextField(blank=True)
    unit = models.CharField(max_length=10, default="%", help_text="In which the limits are written; they are SI here.")
    statistic = models.CharField(max_length=40, blank=True, default="")
    conditions = models.TextField(blank=True, default="", help_text="Canonical JSON of the further conditions.")

    class Meta:
        ordering = ["specification", "number"]
        constraints = [
            models.UniqueConstraint(fields=["specification", "number"], name="criterion_number_once"),
            models.CheckConstraint(
                condition=models.Q(minimum__isnull=True)
                | models.Q(maximum__isnull=True)
                | models.Q(minimum__lte=models.F("maximum")),
                name="criterion_minimum_not_above_maximum",
            ),
            models.CheckConstraint(
                condition=models.Q(minimum__isnull=False) | models.Q(maximum__isnull=False),
                name="criterion_has_a_limit",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.minimum} to {self.maximum}"
