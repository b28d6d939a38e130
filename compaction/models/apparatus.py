"""Gauges, cones and other instruments, with the period in which their calibration holds."""

from django.db import models


class ApparatusRecord(models.Model):
    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="apparatus_records")
    serial = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    kind = models.CharField(max_length=30)
    name = models.CharField(max_length=120, blank=True)
    values = models.TextField(blank=True, default="{}", help_text="Canonical JSON of calibrated values, as quantities.")
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "serial", "rev"]
        constraints = [
            models.UniqueConstraint(fields=["project", "serial", "rev"], name="apparatus_record_once"),
            models.CheckConstraint(
                condition=models.Q(valid_until__isnull=True) | models.Q(valid_from__lte=models.F("valid_until")),
                name="apparatus_period_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.serial}"
