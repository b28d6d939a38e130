"""Fill as placed, as people enter it: area, lift, time and limits; what else is known is folded away beneath."""

from typing import Any, Final

from django import forms

from compaction.forms.places import pairs_of
from compaction.forms.quantities import QuantityField, first_unit, units_of
from compaction.forms.rulings import Once
from compaction.records.placement_parts import AREA_LENGTH, MOST_CORNERS, MOST_LIFT, RANGE, REASONS
from projects.models import Project

#: folds beneath what every placement needs: heading, fields
FOLDS: Final = (
    ("Loads, material, side, lot", ("loads", "load_volume", "material", "side", "lot")),
    ("Source, equipment, weather, remarks", ("source", "equipment", "passes", "weather", "remarks")),
    ("Limits by corners, where no alignment serves", ("outline", "outline_unit")),
    ("Not tested, because", ("reason_code", "reason")),
)
_QUANTITIES: Final = (
    ("elevation_top", "length", "Elevation of the finished lift", ""),
    ("thickness", "thickness", "Thickness", ""),
    ("quantity", "volume", "Quantity, as surveyed", "Left empty, loads times what one holds."),
    ("load_volume", "volume", "Volume of one load, compacted", ""),
)
_APART: Final = ("outline", "outline_unit", "reason_code", "reason")


class PlacementForm(Once):
    """Fill as placed: only area, lift, time and limits are compulsory."""

    area = forms.CharField(label="Area", max_length=AREA_LENGTH, widget=forms.TextInput(attrs={"list": "areas"}))
    lift = forms.IntegerField(label="Lift", min_value=0, max_value=MOST_LIFT)
    placed_at = forms.CharField(label="Placed at", widget=forms.DateTimeInput(attrs={"type": "datetime-local"}))
    alignment = forms.ChoiceField(label="Alignment", required=False)
    station_from = forms.CharField(label="From station", max_length=40, required=False)
    station_to = forms.CharField(label="To station", max_length=40, required=False)
    offset_from = forms.CharField(label="From offset", max_length=40, required=False, help_text="For example 30 L.")
    offset_to = forms.CharField(label="To offset", max_length=40, required=False, help_text="For example 30 R.")
    loads = forms.IntegerField(label="Loads", min_value=0, max_value=999_999, required=False)
    material = forms.CharField(
        label="Material", max_length=200, required=False, help_text="Or the code of its reference."
    )
    side = forms.CharField(label="Side of a pipe or wall", max_length=200, required=False)
    lot = forms.CharField(label="Lot", max_length=200, required=False)
    source = forms.CharField(label="Source of the fill", max_length=200, required=False)
    equipment = forms.CharField(label="Equipment", max_length=200, required=False)
    passes = forms.IntegerField(label="Passes", min_value=0, max_value=999, required=False)
    weather = forms.CharField(label="Weather", max_length=200, required=False)
    remarks = forms.CharField(
        label="Remarks", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    outline = forms.CharField(
        label="Corners",
        max_length=12_000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}),
        help_text="One a line: easting, blank, northing. Three or more; leave stations and offsets empty.",
    )
    outline_unit = forms.ChoiceField(label="Corners in", required=False)
    reason_code = forms.ChoiceField(
        label="Why no test is made of it", required=False, choices=lambda: [("", "–"), *REASONS.items()]
    )
    reason = forms.CharField(
        label="In words", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, project: Project, alignments: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["alignment"].choices = [(code, code) for code in alignments]  # type: ignore[attr-defined]
        first = first_unit(project, "length")
        self.fields["outline_unit"].choices = [  # type: ignore[attr-defined]
            one for one in units_of(project, "length") if one[0] in (first, "m", "ft")
        ]
        for name, kind, label, words in _QUANTITIES:
            self.fields[name] = QuantityField(project=project, kind=kind, label=label, required=False, help_text=words)

    def clean_outline(self) -> list[list[str]]:
        """Corners as pairs of numbers."""
        corners = pairs_of(self.cleaned_data["outline"])
        if corners and not 3 <= len(corners) <= MOST_CORNERS:
            raise forms.ValidationError(f"An outline has 3 to {MOST_CORNERS} corners.")
        return corners

    def clean(self) -> dict[str, Any]:
        """Limits are a range between stations, all of it, or corners; a reason goes with its words."""
        given = super().clean() or {}
        written = [name for name in RANGE if name != "alignment" and given.get(name)]
        if given.get("outline"):
            given["alignment"] = ""
            if written:
                self.add_error("outline", "Give stations and offsets or corners, not both.")
        elif "outline" not in self.errors:
            for name in RANGE:
                if not given.get(name) and name not in self.errors:
                    self.add_error(name, "Give it, or the limits by corners.")
        for name, other, words in (
            ("reason", "reason_code", "Say why, in words that another engineer can follow."),
            ("reason_code", "reason", "Choose what comes nearest."),
            ("loads", "load_volume", "Say how many loads."),
            ("load_volume", "loads", "Say how much one load holds."),
        ):
            if given.get(other) not in ("", None) and given.get(name) in ("", None) and name not in self.errors:
                self.add_error(name, words)
        return given

    def given(self) -> dict[str, Any]:
        """What was filled in, by the names of the record."""
        cleaned = self.cleaned_data
        found = {name: value for name, value in cleaned.items() if name not in _APART}
        if cleaned["outline"]:
            unit = cleaned["outline_unit"]
            found["outline"] = [
                {"easting": f"{easting} {unit}", "northing": f"{northing} {unit}"}
                for easting, northing in cleaned["outline"]
            ]
        if cleaned["reason_code"]:
            found["not_tested"] = {name: cleaned[name] for name in ("reason_code", "reason")}
        return found

    @property
    def usual(self) -> list[Any]:
        """What every placement needs, or nearly."""
        return [self[name] for name in ("area", "lift", "placed_at", *RANGE, "elevation_top", "thickness", "quantity")]

    @property
    def folds(self) -> list[tuple[str, list[Any], bool]]:
        """Heading, fields, and whether something stands in them or is wrong."""
        return [(title, [self[name] for name in names], any(map(self._touched, names))) for title, names in FOLDS]

    def _touched(self, name: str) -> bool:
        return name in self.errors or (
            self.is_bound and name != "outline_unit" and bool(getattr(self, "cleaned_data", {}).get(name))
        )
