"""Where things are: alignments and areas, in revisions that are never rewritten.

The content is canonical JSON text (see `projects.geometry`): frozen when made, named by its digest.
"""

from django.db import models


class Reach(models.TextChoices):
    """Which tests a revision governs."""

    ALL = "all", "all tests"
    FROM_DATE = "from_date", "tests made from a date on"
    PROSPECTIVE = "prospective", "tests made after its approval"


def reach_choices() -> list[tuple[str, str]]:
    return list(Reach.choices)


class AlignmentRevision(models.Model):
    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="alignment_revisions")
    code = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    name = models.CharField(max_length=120)
    content = models.TextField(help_text="Canonical JSON of the geometry.")
    digest = models.CharField(max_length=64)
    reach = models.CharField(max_length=12, choices=reach_choices, default=Reach.ALL)
    effective_from = models.DateField(null=True, blank=True)
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "code", "rev"]
        constraints = [models.UniqueConstraint(fields=["project", "code", "rev"], name="alignment_revision_once")]

    def __str__(self) -> str:
        return f"{self.code} rev {self.rev}"


class AreaKind(models.TextChoices):
    ZONE = "zone", "zone with requirements"
    EXEMPT = "exempt", "exempt: no density requirement"
    OVERBUILD = "overbuild", "overbuild outside the design lines"
    SURCHARGE = "surcharge", "surcharge, taken off later"
    KEYWAY = "keyway", "keyway or undercut below the ground"


def area_kind_choices() -> list[tuple[str, str]]:
    return list(AreaKind.choices)


class AreaRevision(models.Model):
    """A zone or an exempt area. `code` is what a criterion names."""

    append_only = True

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="area_revisions")
    code = models.CharField(max_length=40)
    rev = models.PositiveIntegerField()
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=area_kind_choices, default=AreaKind.ZONE)
    reason = models.CharField(max_length=200, blank=True, help_text="Why it is exempt.")
    content = models.TextField(help_text="Canonical JSON: a station-offset range or a polygon, with limits.")
    digest = models.CharField(max_length=64)
    reach = models.CharField(max_length=12, choices=reach_choices, default=Reach.ALL)
    effective_from = models.DateField(null=True, blank=True)
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["project", "code", "rev"]
        constraints = [models.UniqueConstraint(fields=["project", "code", "rev"], name="area_revision_once")]

    def __str__(self) -> str:
        return f"{self.code} rev {self.rev}"
