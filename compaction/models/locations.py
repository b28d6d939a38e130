"""Where to test next: random locations drawn for a group, and what took the place of one that could not be tested."""

from typing import ClassVar

from django.db import models


class LocationDraw(models.Model):
    """Decided: random places in the cells of an area on a lift. Another draw replaces it, with a reason."""

    append_only = True
    objects: ClassVar[models.Manager["LocationDraw"]] = models.Manager()

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="location_draws")
    client_uuid = models.UUIDField()
    area = models.CharField(max_length=200)
    lift = models.PositiveIntegerField()
    seed = models.CharField(max_length=80)
    algorithm = models.CharField(max_length=40)
    supersedes = models.UUIDField(null=True, blank=True, help_text="The draw that this one replaces.")
    reason_code = models.CharField(max_length=40, blank=True)
    reason = models.TextField(blank=True)
    content = models.TextField(help_text="Canonical JSON as received.")
    content_sha256 = models.CharField(max_length=64)
    drawn = models.TextField(help_text="Canonical JSON: what it was drawn on, cells, U1, U2 and places.")
    author = models.CharField(max_length=150)
    drawn_at = models.DateTimeField()

    class Meta:
        ordering = ["drawn_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["project", "client_uuid"], name="location_draw_once"),
            models.UniqueConstraint(fields=["project", "supersedes"], name="location_draw_replaced_once"),
            models.UniqueConstraint(
                fields=["project", "area", "lift"],
                condition=models.Q(supersedes__isnull=True),
                name="location_draw_one_first",
            ),
        ]
        indexes = [models.Index(fields=["project", "lift", "area"], name="location_draw_by_group")]

    def __str__(self) -> str:
        return f"draw {self.seed} on lift {self.lift} of {self.area}"


class LocationSubstitution(models.Model):
    """Decided: a location that could not be tested, and the place taken instead. The newest of a location counts."""

    append_only = True
    objects: ClassVar[models.Manager["LocationSubstitution"]] = models.Manager()

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="location_substitutions")
    client_uuid = models.UUIDField()
    draw = models.ForeignKey(LocationDraw, on_delete=models.PROTECT, related_name="substitutions")
    location = models.UUIDField()
    attempt = models.PositiveSmallIntegerField(help_text="1 for the first substitution of the location.")
    reason_code = models.CharField(max_length=40)
    reason = models.TextField()
    content = models.TextField(help_text="Canonical JSON as received.")
    content_sha256 = models.CharField(max_length=64)
    place = models.TextField(help_text="Canonical JSON of the place taken instead.")
    author = models.CharField(max_length=150)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["received_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["project", "client_uuid"], name="location_substitution_once"),
            models.UniqueConstraint(fields=["draw", "location", "attempt"], name="location_substitution_attempt_once"),
        ]

    def __str__(self) -> str:
        return f"{self.location}: {self.reason_code}"
