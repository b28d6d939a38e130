"""A project: the site, its units, its words and its clock."""

import uuid
import zoneinfo

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models


class Units(models.TextChoices):
    PCF = "pcf", "lb/ft³, feet, inches"
    KGM3 = "kg/m3", "kg/m³, metres"
    MGM3 = "Mg/m3", "Mg/m³, metres"
    KNM3 = "kN/m3", "kN/m³, metres"


class StationFormat(models.TextChoices):
    HUNDREDS = "100", "12+34.56 (stations of 100)"
    THOUSANDS = "1000", "1+234.56 (stations of 1000)"


class Words(models.TextChoices):
    """The language of practice on pages (the code keeps the standards' terms)."""

    US = "us", "moisture, Proctor, percent compaction, lift"
    SI = "si", "water content, compaction curve, degree of compaction, layer"


def units_choices() -> list[tuple[str, str]]:
    return list(Units.choices)


def station_format_choices() -> list[tuple[str, str]]:
    return list(StationFormat.choices)


def words_choices() -> list[tuple[str, str]]:
    return list(Words.choices)


def known_time_zone(value: str) -> None:
    if value not in zoneinfo.available_timezones():
        raise ValidationError(f"{value} is not a time zone of the IANA list; write for example America/Denver.")


class Project(models.Model):
    uuid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    code = models.CharField(
        max_length=40,
        unique=True,
        validators=[RegexValidator(r"\A[a-z0-9]+(-[a-z0-9]+)*\Z", "Lower-case letters, digits and single hyphens.")],
        help_text="Stands in every address; it can't be changed later.",
    )
    name = models.CharField(max_length=120)
    units = models.CharField(max_length=8, choices=units_choices, default=Units.PCF)
    words = models.CharField(max_length=4, choices=words_choices, default=Words.US)
    station_format = models.CharField(max_length=5, choices=station_format_choices, default=StationFormat.HUNDREDS)
    epsg_code = models.PositiveIntegerField(null=True, blank=True, help_text="Projected system of the coordinates.")
    vertical_datum = models.CharField(max_length=60, blank=True, help_text="For example NAVD 88, or the site datum.")
    time_zone = models.CharField(max_length=60, validators=[known_time_zone], default="UTC")
    failure_radius_m = models.DecimalField(max_digits=6, decimal_places=2, default=5)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=models.Q(failure_radius_m__gt=0), name="project_failure_radius_positive")
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def zone_info(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.time_zone)
