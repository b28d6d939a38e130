"""Lots that are accepted or refused as a whole by a statistic declared beforehand.

A revision is what was declared and when; outcomes follow from the tests at the place; `Lot` is the projection that
lists read. Closing a lot is a decision.
"""

from django.db import models


class LotRevision(models.Model):
    """Observed. A lot as declared; a later revision that changes what counts starts anew at its own declaration."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="lot_revisions")
    code = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    title = models.CharField(max_length=200)
    content = models.TextField(help_text="Canonical JSON as entered: extent, rules, retests.")
    outlines = models.TextField(help_text="Canonical JSON of the place as it lay on the geometry of the declaration.")
    digest = models.CharField(max_length=64, help_text="Of what decides about membership and verdict.")
    reason = models.TextField(blank=True)
    author = models.CharField(max_length=150)
    declared_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "code", "rev"]
        constraints = [models.UniqueConstraint(fields=["project", "code", "rev"], name="lot_revision_once")]

    def __str__(self) -> str:
        return f"{self.code} rev {self.rev}"


class Lot(models.Model):
    """Projection of a lot: its newest revision, its result and what was decided. Can be rebuilt."""

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="lots")
    code = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    title = models.CharField(max_length=200)
    state = models.CharField(max_length=20, default="open")  # open | accepted | rejected
    closed_at = models.DateTimeField(null=True, blank=True)
    basis_changed = models.BooleanField(default=False, help_text="The figures moved after it was closed.")
    result = models.CharField(max_length=20, default="undecided")
    basis = models.CharField(max_length=20, default="provisional")
    tests = models.PositiveIntegerField(default=0)
    failing = models.PositiveIntegerField(default=0)
    outcome_digest = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["project", "code"]
        constraints = [models.UniqueConstraint(fields=["project", "code"], name="lot_once")]

    def __str__(self) -> str:
        return self.code


class LotOutcome(models.Model):
    """Derived: a lot's result on the tests of a moment, with members, figures and sentence; a new one is added."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="lot_outcomes")
    code = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    calculation_version = models.CharField(max_length=20)
    outcome_digest = models.CharField(max_length=64)
    result = models.CharField(max_length=20)
    basis = models.CharField(max_length=20)
    content = models.TextField(help_text="Canonical JSON: verdicts, members with reasons, failing tests, comparison.")
    cause = models.CharField(max_length=200, help_text="Why it was computed.")
    computed_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "code", "id"]
        indexes = [models.Index(fields=["project", "code", "id"], name="lot_outcome_by_lot")]

    def __str__(self) -> str:
        return f"{self.result} for lot {self.code}"
