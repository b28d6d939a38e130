"""Entry of a moisture-density reference: reported values, and the points they were drawn from."""

from typing import Any

from django import forms

from compaction.calculations.oversize_practices import DEFAULT_PRACTICE, PRACTICES
from compaction.forms.quantities import QuantityField, tidy_number
from compaction.observation.choices import SIEVES
from projects.models import Project, Reach

#: fields that hold for every point of the bench
BENCH = ("mould", "mould_volume", "mould_mass", "layers", "blows", "mass_unit")
MASS_UNITS = ("g", "kg", "lb")
CODE = r"\A[A-Za-z0-9][A-Za-z0-9._-]*\Z"
OVERSIZE_RULES = {
    "none": "no correction",
    "correct_maximum": "correct maximum and optimum",
    "correct_field": "correct the field result",
}


class ReferenceForm(forms.Form):
    """One revision. The record behind it checks ranges and what belongs together."""

    code = forms.RegexField(
        CODE,
        label="Code",
        max_length=40,
        error_messages={"invalid": "It stands in addresses: letters, digits, points, hyphens and underscores."},
        help_text="As crews write it, for example P-7.",
    )
    soil = forms.CharField(label="Soil", max_length=200, required=False)
    method = forms.CharField(label="Method and procedure", max_length=30, help_text="For example D698-A or T180-D.")
    control_sieve = forms.ChoiceField(label="Sieve that limited the specimen", choices=lambda: list(SIEVES.items()))
    specific_gravity = forms.CharField(label="Specific gravity of solids", required=False)
    specific_gravity_measured = forms.BooleanField(label="It was measured, not assumed", required=False)
    oversize_rule = forms.ChoiceField(label="Oversize", choices=lambda: list(OVERSIZE_RULES.items()))
    oversize_practice = forms.ChoiceField(
        label="Whose limits of oversize",
        required=False,
        choices=lambda: [
            ("" if code == DEFAULT_PRACTICE else code, practice.name) for code, practice in PRACTICES.items()
        ],
    )
    valid_until = forms.DateField(label="Holds until", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    oversize_bulk_specific_gravity = forms.CharField(label="Bulk specific gravity of the oversize", required=False)
    fit = forms.CharField(label="How the curve was drawn", max_length=200, required=False)
    sample = forms.CharField(
        label="Sample", max_length=40, required=False, help_text="Code of the sample it was made on."
    )
    layers = forms.IntegerField(label="Layers", min_value=1, max_value=20, required=False)
    blows = forms.IntegerField(label="Blows a layer", min_value=1, max_value=500, required=False)
    mould = forms.CharField(
        label="Mould", max_length=40, required=False, help_text="Serial number, if it is registered."
    )
    mass_unit = forms.ChoiceField(label="Masses below are in", choices=lambda: [(unit, unit) for unit in MASS_UNITS])
    reach = forms.ChoiceField(label="Which tests it governs", choices=lambda: list(Reach.choices))
    effective_from = forms.DateField(
        label="From the day", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    reason = forms.CharField(
        label="Why it is entered or revised",
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    remarks = forms.CharField(
        label="Remarks", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, project: Project, revising: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        quantities = {
            "maximum_dry_density": ("density", "Maximum dry density", True),
            "optimum_water_content": ("percent", "Optimum water content", True),
            "oversize_water_content": ("percent", "Water content of the oversize", False),
            "standing_oversize": ("percent", "Standing oversize", False),
            "mould_volume": ("volume", "Volume of the mould", False),
            "mould_mass": ("mass", "Mass of the empty mould", False),
        }
        for name, (kind, label, required) in quantities.items():
            self.fields[name] = QuantityField(project=project, kind=kind, label=label, required=required)
        self.fields["mass_unit"].required = False
        self.fields["mould_volume"].widget.first = "ft3" if project.units == "pcf" else "cm3"
        if revising:
            self.fields["code"].required = False
            self.fields["code"].widget = forms.HiddenInput()
            self.fields["reason"].required = True
        self.order_fields(
            ["code", "soil", "sample", "method", "maximum_dry_density", "optimum_water_content", "specific_gravity",
             "specific_gravity_measured", "control_sieve", "oversize_rule", "oversize_bulk_specific_gravity",
             "oversize_water_content", "standing_oversize", "fit", "reach", "effective_from", "reason", "remarks",
             *BENCH]
        )  # fmt: skip

    @property
    def reported(self) -> list[Any]:
        """The fields above the points."""
        return [bound for bound in self.visible_fields() if bound.name not in BENCH]

    @property
    def bench(self) -> list[Any]:
        """What holds for every point."""
        return [self[name] for name in BENCH]

    def body(self, points: list[dict[str, Any]]) -> dict[str, Any]:
        """The revision as the record reads it; what was left empty is left out."""
        given = self.cleaned_data
        body: dict[str, Any] = {
            name: value.isoformat() if name in ("effective_from", "valid_until") else value
            for name, value in given.items()
            if name not in ("code", "mass_unit") and value not in ("", None, False)
        }
        for name in ("specific_gravity", "oversize_bulk_specific_gravity"):
            if name in body:
                body[name] = tidy_number(body[name])
        if points:
            body["points"] = points
        return body
