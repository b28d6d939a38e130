"""A test and its versions, the position and the outcome derived from each version.

`Test` is a projection: the one mutable row per test, holding what lists and the map read. The
versions are what the crew wrote; positions and outcomes follow from them and can be rebuilt.
"""

from django.db import models


class Test(models.Model):
    __test__ = False  # keeps the test runner from collecting it

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="tests")
    client_uuid = models.UUIDField()
    label = models.CharField(max_length=40, blank=True)
    performed_at = models.DateTimeField()
    received_at = models.DateTimeField()
    method = models.CharField(max_length=30)
    purpose = models.CharField(max_length=20)
    technician = models.CharField(max_length=150, blank=True)
    device = models.CharField(max_length=150, blank=True, help_text="Who sent the first version: a key or a person.")
    reference_code = models.CharField(max_length=40, blank=True)
    retest_of = models.UUIDField(null=True, blank=True)
    check_of = models.UUIDField(null=True, blank=True)
    current_version = models.PositiveIntegerField(default=1)
    inputs_digest = models.CharField(max_length=64)
    outcome_digest = models.CharField(max_length=64)
    voided = models.BooleanField(default=False)

    result = models.CharField(max_length=20)
    density_result = models.CharField(max_length=20, blank=True)
    moisture_result = models.CharField(max_length=20, blank=True)
    other_result = models.CharField(max_length=20, blank=True)
    basis = models.CharField(max_length=20)
    open_holds = models.CharField(max_length=400, blank=True)
    finding_codes = models.CharField(max_length=1000, blank=True)
    margin = models.CharField(max_length=80, blank=True)
    percent_compaction = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    percent_compaction_judged = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    percent_compaction_minimum = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    relative_density_pct = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    relative_density_judged = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    relative_density_minimum = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    dry_density_kgm3 = models.DecimalField(max_digits=10, decimal_places=3, null=True, blank=True)
    water_content_pct = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    water_content_deviation = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)

    alignment = models.CharField(max_length=40, blank=True)
    station_text = models.CharField(max_length=60, blank=True)
    offset_text = models.CharField(max_length=60, blank=True)
    station_m = models.DecimalField(max_digits=13, decimal_places=4, null=True, blank=True)
    offset_m = models.DecimalField(max_digits=11, decimal_places=4, null=True, blank=True)
    easting_m = models.DecimalField(max_digits=15, decimal_places=4, null=True, blank=True)
    northing_m = models.DecimalField(max_digits=15, decimal_places=4, null=True, blank=True)
    longitude = models.DecimalField(max_digits=13, decimal_places=9, null=True, blank=True)
    latitude = models.DecimalField(max_digits=12, decimal_places=9, null=True, blank=True)
    elevation_m = models.DecimalField(max_digits=10, decimal_places=4, null=True, blank=True)
    depth_below_grade_m = models.DecimalField(max_digits=10, decimal_places=4, null=True, blank=True)
    zone = models.CharField(max_length=40, blank=True)
    exempt = models.BooleanField(default=False)
    lift = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["-performed_at", "-id"]
        constraints = [models.UniqueConstraint(fields=["project", "client_uuid"], name="test_once_per_project")]
        indexes = [
            models.Index(fields=["project", "performed_at", "id"], name="test_by_time"),
            models.Index(
                fields=["project", "retest_of"], name="test_retests", condition=models.Q(retest_of__isnull=False)
            ),
            models.Index(fields=["project", "reference_code"], name="test_by_reference"),
            models.Index(fields=["project", "lift"], name="test_by_lift"),
        ]

    def __str__(self) -> str:
        return self.label or str(self.client_uuid)


class TestVersion(models.Model):
    """Observed. What was written, as it was written, and which version it replaces."""

    __test__ = False
    append_only = True

    test = models.ForeignKey(Test, on_delete=models.PROTECT, related_name="versions")
    version = models.PositiveIntegerField()
    supersedes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="superseded_by"
    )
    client_uuid = models.UUIDField(help_text="Of the test for version 1, of the amendment for later ones.")
    schema = models.PositiveSmallIntegerField()
    raw_body = models.TextField(help_text="The record as received.")
    raw_sha256 = models.CharField(max_length=64)
    content = models.TextField(help_text="Canonical JSON of the record.")
    content_sha256 = models.CharField(max_length=64)
    reason_code = models.CharField(max_length=40, blank=True)
    reason = models.TextField(blank=True)
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["test", "version"]
        constraints = [models.UniqueConstraint(fields=["test", "version"], name="test_version_once")]

    def __str__(self) -> str:
        return f"version {self.version} of test {self.test_id}"


class TestPosition(models.Model):
    """Derived: where that version is, on the geometry named by the digest."""

    __test__ = False
    append_only = True

    test_version = models.ForeignKey(TestVersion, on_delete=models.PROTECT, related_name="positions")
    geometry_digest = models.CharField(max_length=64)
    content = models.TextField(help_text="Canonical JSON of the located position with its findings.")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["test_version", "geometry_digest"], name="test_position_once")]

    def __str__(self) -> str:
        return f"position of version {self.test_version_id}"


class TestOutcome(models.Model):
    """Derived: the result of one evaluation, with everything that explains it."""

    __test__ = False
    append_only = True

    test_version = models.ForeignKey(TestVersion, on_delete=models.PROTECT, related_name="outcomes")
    inputs_digest = models.CharField(max_length=64)
    calculation_version = models.CharField(max_length=20)
    outcome_digest = models.CharField(max_length=64)
    result = models.CharField(max_length=20)
    percent_compaction = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    reference = models.CharField(max_length=60, blank=True, help_text="Code and revision that it was computed with.")
    specification = models.CharField(max_length=60, blank=True)
    content = models.TextField(help_text="Canonical JSON of the outcome: figures, criteria, findings, worksheet.")
    cause = models.CharField(max_length=200, help_text="Why it was computed.")
    computed_at = models.DateTimeField()

    class Meta:
        ordering = ["test_version", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["test_version", "inputs_digest", "calculation_version"], name="test_outcome_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.result} for version {self.test_version_id}"
