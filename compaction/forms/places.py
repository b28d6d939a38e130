"""Baselines and areas as people enter them."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from compaction.forms.quantities import tidy_number
from projects.geometry.linear_units import LINEAR_UNITS
from projects.geometry.table_text import TableTextError, station_number
from projects.models import AreaKind


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
        pairs = pairs_of(self.cleaned_data["points"])
        if len(pairs) < 2:
            raise forms.ValidationError("A baseline needs two points or more.")
        return pairs

    def clean_start_station(self) -> str:
        """A plain number; "10+00" is read as 1000, "10+0" is not."""
        try:
            return station_number(self.cleaned_data["start_station"])
        except TableTextError as error:
            raise forms.ValidationError(str(error)) from error


#: how an area is outlined; the ways to write corners are those of `conversion_text.KINDS`
SHAPES = {
    "range": "between two stations and two offsets",
    "station": "corners by station and offset",
    "easting-northing": "corners by easting and northing",
    "northing-easting": "corners by northing and easting",
}
RANGE_FIELDS = ("station_from", "station_to", "offset_from", "offset_to")
#: what stays empty is open
HEIGHT_FIELDS = ("elevation_from", "elevation_to", "depth_from", "depth_to")


class AreaForm(forms.Form):
    """A zone with requirements, or another area: a range along an alignment or a polygon, with limits of height."""

    code = forms.SlugField(label="Code", max_length=40, help_text="What a criterion names, for example core.")
    name = forms.CharField(label="Name", max_length=120)
    kind = forms.ChoiceField(label="Kind", choices=lambda: list(AreaKind.choices))
    reason = forms.CharField(label="Why it is exempt", max_length=200, required=False)
    shape = forms.ChoiceField(label="Outlined", choices=lambda: list(SHAPES.items()), required=False)
    alignment = forms.ChoiceField(label="Alignment of the stations", required=False)
    station_from = forms.CharField(label="From station", max_length=40, required=False)
    station_to = forms.CharField(label="To station", max_length=40, required=False)
    offset_from = forms.CharField(label="From offset", max_length=40, required=False, help_text="For example 30 L.")
    offset_to = forms.CharField(label="To offset", max_length=40, required=False, help_text="For example 30 R.")
    corners = forms.CharField(
        label="Corners",
        max_length=30_000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false", "autocomplete": "off"}),
        help_text="One a line, in order: 12+00 30 L, or two coordinates with a blank between. Sides are straight.",
    )
    coordinate_unit = forms.ChoiceField(
        label="Coordinates in",
        required=False,
        choices=lambda: [(unit.code, unit.name) for unit in LINEAR_UNITS.values()],
    )
    elevation_from = forms.CharField(label="From elevation", max_length=20, required=False)
    elevation_to = forms.CharField(label="To elevation", max_length=20, required=False)
    depth_from = forms.CharField(label="From depth", max_length=20, required=False, help_text="Below the design grade.")
    depth_to = forms.CharField(label="To depth", max_length=20, required=False)

    def __init__(self, *args: Any, alignments: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["alignment"].choices = [(code, code) for code in alignments]  # type: ignore[attr-defined]

    def clean_shape(self) -> str:
        """A form of before that names no shape means a range."""
        return self.cleaned_data["shape"] or "range"

    def clean(self) -> dict[str, Any]:
        """An exempt area says why; a shape has what it is made of; heights are numbers."""
        cleaned = super().clean() or {}
        if cleaned.get("kind") == AreaKind.EXEMPT and not cleaned.get("reason"):
            self.add_error("reason", "Say why no density is required here.")
        shape = cleaned.get("shape", "range")
        needed = RANGE_FIELDS if shape == "range" else ("corners",)
        for name in (*needed, "alignment") if shape in ("range", "station") else needed:
            if not cleaned.get(name) and name not in self.errors:
                self.add_error(name, f"This is needed for an area {SHAPES[shape]}.")
        for name in RANGE_FIELDS if shape != "range" else ("corners",):
            if cleaned.get(name):
                self.add_error(name, f"The area is outlined {SHAPES[shape]}: leave this empty, or change that.")
        for name in HEIGHT_FIELDS:
            text = tidy_number(cleaned.get(name, "").strip())
            cleaned[name] = text
            if text and not _is_number(text):
                self.add_error(name, f"“{text[:20]}” is not a number.")
        return cleaned


def pairs_of(text: str) -> list[list[str]]:
    """Easting and northing of each line that is not empty, as plain numbers. Raises `ValidationError`."""
    pairs = []
    for number, line in enumerate(text.splitlines(), start=1):
        parts = [tidy_number(part.strip(",;")) for part in line.split()]
        if not parts:
            continue
        if len(parts) != 2 or not all(_is_number(part) for part in parts):
            raise forms.ValidationError(f"Line {number} is not two numbers: write easting, blank, northing.")
        pairs.append(parts)
    return pairs


def _is_number(text: str) -> bool:
    try:
        return Decimal(text).is_finite() and text.isascii() and len(text) < 20
    except InvalidOperation:
        return False
