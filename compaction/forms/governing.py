"""The question "what governs at a point?" and, with a reading, "how would it be judged?": place, soil, method, day."""

from datetime import datetime
from typing import Any, Final

from django import forms

from compaction.calculations.methods import METHODS
from compaction.forms.quantities import QuantityField
from projects.models import Project

POSITION: Final = ("alignment", "station", "offset", "elevation")
#: folds: heading, fields
FOLDS: Final = (
    ("Soil, where the sample of the reference does not say", (
        "group_symbol", "aashto_group", "plasticity_index", "liquid_limit", "fines", "gravel", "reference_maximum",
    )),
    ("Method, lift, material, structure, day", (
        "method", "lift_thickness", "maximum_particle", "oversize", "structure", "structure_distance", "on",
    )),
)  # fmt: skip
_QUANTITIES: Final = {
    "elevation": ("length", "Elevation"),
    "depth_below_grade": ("length", "Or depth below grade"),
    "plasticity_index": ("percent", "Plasticity index"),
    "liquid_limit": ("percent", "Liquid limit"),
    "fines": ("percent", "Fines"),
    "gravel": ("percent", "Gravel"),
    "reference_maximum": ("density", "Maximum dry density, without a reference"),
    "oversize": ("percent", "Oversize"),
    "maximum_particle": ("thickness", "Largest particle"),
    "lift_thickness": ("thickness", "Lift thickness"),
    "structure_distance": ("length", "Distance to it"),
    "dry_density": ("density", "Dry density"),
    "water_content": ("percent", "Water content"),
}


class GoverningForm(forms.Form):
    """Everything may be left out; what a criterion needs and nobody states is told in the answer."""

    alignment = forms.ChoiceField(label="Alignment", required=False)
    station = forms.CharField(label="Station", max_length=40, required=False)
    offset = forms.CharField(label="Offset", max_length=40, required=False, help_text="For example 15 L.")
    zone = forms.ChoiceField(label="Or the area itself", required=False)
    reference = forms.ChoiceField(label="Reference", required=False)
    method = forms.ChoiceField(
        label="Method", required=False, choices=lambda: [("", "–"), *((n, m.title) for n, m in METHODS.items())]
    )
    group_symbol = forms.CharField(label="Group symbol", max_length=12, required=False)
    aashto_group = forms.CharField(label="AASHTO group", max_length=12, required=False)
    structure = forms.CharField(label="At a structure", max_length=40, required=False)
    on = forms.DateField(
        label="On the day",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Empty: today. Noon of that day.",
    )

    def __init__(self, *args: Any, project: Project, under: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = (("alignment", under.alignments), ("zone", _zones(under)), ("reference", under.references))
        for name, codes in known:
            self.fields[name].choices = [("", "–"), *((code, code) for code in sorted(codes))]  # type: ignore[attr-defined]
        for name, (kind, label) in _QUANTITIES.items():
            self.fields[name] = QuantityField(project=project, kind=kind, label=label, required=False)
        self.project = project

    @property
    def usual(self) -> list[Any]:
        """Place and reference."""
        return [self[name] for name in (*POSITION, "depth_below_grade", "zone", "reference")]

    @property
    def reading(self) -> list[Any]:
        """The what-if."""
        return [self["dry_density"], self["water_content"]]

    @property
    def folds(self) -> list[tuple[str, list[Any], bool]]:
        """Heading, fields, and whether something stands in them."""
        given = getattr(self, "cleaned_data", {})
        return [
            (title, [self[name] for name in names], any(given.get(name) or name in self.errors for name in names))
            for title, names in FOLDS
        ]

    def body(self) -> dict[str, Any]:
        """The question as the record reads it; what was left empty is left out."""
        given = {name: value for name, value in self.cleaned_data.items() if value not in ("", None)}
        position = {name: given.pop(name) for name in POSITION if name in given}
        if "station" not in position:  # a line alone is no place
            position.pop("alignment", None)
        day = given.pop("on", None)
        body: dict[str, Any] = {**given, **({"position": position} if position else {})}
        if day is not None:
            noon = datetime(day.year, day.month, day.day, 12, tzinfo=self.project.zone_info)
            body["at"] = noon.isoformat()
        return body


def _zones(under: Any) -> list[str]:
    """Areas, and names that criteria use before there is an area for them."""
    named = {
        criterion.zone
        for entries in under.specifications.values()
        for criterion in entries[-1].facts.criteria
        if criterion.zone
    }
    return sorted({*under.areas, *named})
