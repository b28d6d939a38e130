"""Gauges, cones and other instruments with their calibrations, standard counts, and certificates of operators."""

from django.db import models


class ApparatusRecord(models.Model):
    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="apparatus_records")
    serial = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    kind = models.CharField(max_length=30)
    name = models.CharField(max_length=120, blank=True)
    values = models.TextField(blank=True, default="{}", help_text="Canonical JSON of calibrated values, as quantities.")
    content = models.TextField(
        blank=True, default="", help_text="Canonical JSON as received; empty before calibrations were kept."
    )
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


class StandardCount(models.Model):
    """Observed. Standard counts of a gauge, or repeated counts of a stability check; the verdict is derived."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="standard_counts")
    client_uuid = models.UUIDField()
    serial = models.CharField(max_length=40)
    purpose = models.CharField(max_length=20)
    taken_at = models.DateTimeField()
    replaces = models.UUIDField(null=True, blank=True, help_text="The count that was written wrongly.")
    content = models.TextField(help_text="Canonical JSON as received.")
    content_sha256 = models.CharField(max_length=64)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "serial", "taken_at", "id"]
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="standard_count_once")]
        indexes = [models.Index(fields=["project", "serial", "taken_at"], name="standard_count_by_time")]

    def __str__(self) -> str:
        return f"count of {self.serial}"


class OperatorCertificate(models.Model):
    """Observed. A certificate of a person for a method, for all, or for radiation safety."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="operator_certificates")
    client_uuid = models.UUIDField()
    person = models.CharField(max_length=150)
    subject = models.CharField(max_length=30)
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True)
    replaces = models.UUIDField(null=True, blank=True, help_text="The certificate that was written wrongly.")
    content = models.TextField(help_text="Canonical JSON as received.")
    content_sha256 = models.CharField(max_length=64)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "person", "subject", "valid_from", "id"]
        constraints = [
            models.UniqueConstraint(fields=["project", "client_uuid"], name="operator_certificate_once"),
            models.CheckConstraint(
                condition=models.Q(valid_until__isnull=True) | models.Q(valid_from__lte=models.F("valid_until")),
                name="operator_certificate_period_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.subject}"
