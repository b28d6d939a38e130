"""Placements, baselines and areas as people enter them."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from compaction.forms.quantities import QuantityField, tidy_number
from compaction.forms.rulings import Once
from projects.geometry.linear_units import LINEAR_UNITS
from projects.geometry.table_text import TableTextError, station_number
from projects.models import AreaKind, Project


class PlacementForm(Once):
    """Fill as placed: only area, lift, day and limits are compulsory."""

    area = forms.CharField(label="Area", max_length=40)
    lift = forms.IntegerField(label="Lift", min_value=0, max_value=9999)
    placed_at = forms.CharField(label="Placed at", widget=forms.DateTimeInput(attrs={"type": "datetime-local"}))
    alignment = forms.ChoiceField(label="Alignment")
    station_from = forms.CharField(label="From station", max_length=40)
    station_to = forms.CharField(label="To station", max_length=40)
    offset_from = forms.CharField(label="From offset", max_length=40, help_text="For example 30 L.")
    offset_to = forms.CharField(label="To offset", max_length=40, help_text="For example 30 R.")
    source = forms.CharField(label="Source of the fill", max_length=200, required=False)
    equipment = forms.CharField(label="Equipment", max_length=200, required=False)
    passes = forms.IntegerField(label="Passes", min_value=0, max_value=999, required=False)
    weather = forms.CharField(label="Weather", max_length=200, required=False)
    remarks = forms.CharField(
        label="Remarks", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, project: Project, alignments: list[str], areas: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["alignment"].choices = [(code, code) for code in alignments]  # type: ignore[attr-defined]
        if areas:
            self.fields["area"] = forms.ChoiceField(label="Area", choices=[(code, code) for code in areas])
        for name, kind, label in (
            ("elevation_top", "length", "Elevation of the finished lift"),
            ("thickness", "thickness", "Thickness"),
            ("quantity", "volume", "Quantity"),
        ):
            self.fields[name] = QuantityField(project=project, kind=kind, label=label, required=False)
        self.order_fields(
            ["area", "lift", "placed_at", "alignment", "station_from", "station_to", "offset_from", "offset_to",
             "elevation_top", "thickness", "quantity"]
        )  # fmt: skip


class BaselineForm(forms.Form):
    """A baseline: two or more points in order, and the station at the first."""

    code = forms.SlugField(label="Code", max_length=40, initial="main")
    name = forms.CharField(label="Name", max_length=120, initial="Baseline")
    unit = forms.ChoiceField(
        label="Stations and offsets in", choices=lambda: [(unit.code, unit.name) for unit in LINEAR_UNITS.values()]
    )
    coordinate_unit = forms.ChoiceField(
        label="Coordinates in", choices=lambda: [(unit.code, unit.name) for unit in LINEAR_UNITS.values()]
    )
    start_station = forms.CharField(label="Station of the first point", max_length=20, help_text="As 1000 or 10+00.")
    points = forms.CharField(
        label="Points",
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 5, "spellcheck": "false"}),
        help_text="One a line: easting, blank, northing. Two or more, in the direction of the stations.",
    )

    def clean_points(self) -> list[list[str]]:
        """Pairs of numbers as text."""
        pairs = []
        for number, line in enumerate(self.cleaned_data["points"].splitlines(), start=1):
            parts = [tidy_number(part.strip(",;")) for part in line.split()]
            if not parts:
                continue
            if len(parts) != 2 or not all(_is_number(part) for part in parts):
                raise forms.ValidationError(f"Line {number} is not two numbers: write easting, blank, northing.")
            pairs.append(parts)
        if len(pairs) < 2:
            raise forms.ValidationError("A baseline needs two points or more.")
        return pairs

    def clean_start_station(self) -> str:
        """A plain number; "10+00" is read as 1000, "10+0" is not."""
        try:
            return station_number(self.cleaned_data["start_station"])
        except TableTextError as error:
            raise forms.ValidationError(str(error)) from error


class AreaForm(forms.Form):
    """A zone with requirements, or an exempt area, between two stations and two offsets."""

    code = forms.SlugField(label="Code", max_length=40, help_text="What a criterion names, for example core.")
    name = forms.CharField(label="Name", max_length=120)
    kind = forms.ChoiceField(label="Kind", choices=lambda: list(AreaKind.choices))
    reason = forms.CharField(label="Why it is exempt", max_length=200, required=False)
    alignment = forms.ChoiceField(label="Alignment")
    station_from = forms.CharField(label="From station", max_length=40)
    station_to = forms.CharField(label="To station", max_length=40)
    offset_from = forms.CharField(label="From offset", max_length=40, help_text="For example 30 L.")
    offset_to = forms.CharField(label="To offset", max_length=40, help_text="For example 30 R.")

    def __init__(self, *args: Any, alignments: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["alignment"].choices = [(code, code) for code in alignments]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """An exempt area says why."""
        cleaned = super().clean() or {}
        if cleaned.get("kind") == AreaKind.EXEMPT and not cleaned.get("reason"):
            self.add_error("reason", "Say why no density is required here.")
        return cleaned


def _is_number(text: str) -> bool:
    try:
        return Decimal(text).is_finite() and text.isascii() and len(text) < 20
    except InvalidOperation:
        return False
