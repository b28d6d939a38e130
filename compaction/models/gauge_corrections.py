"""A gauge against direct tests: which tests are a pair, which rule the project goes by, what is proposed as correction.

A correction is proposed here and adopted by a decision (`Decision`, meaning "adopted") of somebody else.
"""

from django.db import models


class GaugePair(models.Model):
    """Decided: two tests at one spot are a pair, or are none any more; the newest word about the two counts."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="gauge_pairs")
    client_uuid = models.UUIDField()
    gauge_test = models.UUIDField()
    direct_test = models.UUIDField(null=True, blank=True, help_text="Empty: the oven specimen of the gauge test.")
    counts = models.BooleanField()
    reason = models.TextField()
    content_sha256 = models.CharField(max_length=64)
    person = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["received_at", "id"]
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="gauge_pair_once")]

    def __str__(self) -> str:
        return f"{'pair' if self.counts else 'no pair'}: {self.gauge_test}, {self.direct_test or 'own specimen'}"


class GaugeRule(models.Model):
    """Decided: the rule that the project compares its gauges by; the newest counts."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="gauge_rules")
    client_uuid = models.UUIDField()
    rule = models.CharField(max_length=40, help_text="A code of calculations.comparison_rules.")
    reason = models.TextField()
    content_sha256 = models.CharField(max_length=64)
    person = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["received_at", "id"]
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="gauge_rule_once")]

    def __str__(self) -> str:
        return self.rule


class GaugeCorrection(models.Model):
    """Proposed: offsets of one gauge, reference, mode and notch from a day on, with the figures they stand on."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="gauge_corrections")
    client_uuid = models.UUIDField()
    gauge = models.CharField(max_length=40)
    reference = models.CharField(max_length=40, blank=True, help_text="Empty: any.")
    mode = models.CharField(max_length=30)
    notch = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Inches; empty at the surface.")
    effective_from = models.DateField()
    content = models.TextField(help_text="Canonical JSON of the correction as sent.")
    content_sha256 = models.CharField(max_length=64)
    pairs = models.TextField(default="[]", help_text="Canonical JSON of the pairs that it was found from.")
    analysis_digest = models.CharField(max_length=64, blank=True, help_text="Of the figures that were looked at.")
    reason = models.TextField()
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["received_at", "id"]
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="gauge_correction_once")]
        indexes = [models.Index(fields=["project", "gauge"], name="gauge_correction_by_gauge")]

    def __str__(self) -> str:
        return f"correction of gauge {self.gauge} from {self.effective_from}"
