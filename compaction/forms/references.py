"""Entry of a moisture-density reference: reported values, and the points they were drawn from."""

from typing import Any

from django import forms

from compaction.forms.quantities import QuantityField, tidy_number
from compaction.observation.choices import SIEVES
from projects.models import Project, Reach

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
    oversize_bulk_specific_gravity = forms.CharField(label="Bulk specific gravity of the oversize", required=False)
    fit = forms.CharField(label="How the curve was drawn", max_length=200, required=False)
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
        }
        for name, (kind, label, required) in quantities.items():
            self.fields[name] = QuantityField(project=project, kind=kind, label=label, required=required)
        if revising:
            self.fields["code"].required = False
            self.fields["code"].widget = forms.HiddenInput()
            self.fields["reason"].required = True
        self.order_fields(
            ["code", "soil", "method", "maximum_dry_density", "optimum_water_content", "specific_gravity",
             "specific_gravity_measured", "control_sieve", "oversize_rule", "oversize_bulk_specific_gravity",
             "oversize_water_content", "standing_oversize", "fit", "reach", "effective_from", "reason", "remarks"]
        )  # fmt: skip

    def body(self, points: list[dict[str, Any]]) -> dict[str, Any]:
        """The revision as the record reads it; what was left empty is left out."""
        given = self.cleaned_data
        body: dict[str, Any] = {
            name: value.isoformat() if name == "effective_from" else value
            for name, value in given.items()
            if name != "code" and value not in ("", None, False)
        }
        for name in ("specific_gravity", "oversize_bulk_specific_gravity"):
            if name in body:
                body[name] = tidy_number(body[name])
        if points:
            body["points"] = points
        return body


class PointForm(forms.Form):
    """One compacted specimen."""

    rejected = forms.BooleanField(label="Rejected", required=False)
    why = forms.CharField(label="Why", required=False, max_length=200)

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["water_content"] = QuantityField(
            project=project, kind="percent", label="Water content", required=False
        )
        self.fields["dry_density"] = QuantityField(project=project, kind="density", label="Dry density", required=False)

    def clean(self) -> dict[str, Any]:
        """Both figures or none."""
        cleaned = super().clean() or {}
        if bool(cleaned.get("water_content")) != bool(cleaned.get("dry_density")):
            raise forms.ValidationError("A point needs its water content and its dry density.")
        return cleaned

    def has_changed(self) -> bool:
        """Always looked at: units alone do not make a point."""
        return True


PointFormSet = forms.formset_factory(PointForm, extra=6, max_num=40, validate_max=True)


def points_from(formset: Any) -> list[dict[str, Any]]:
    """The points that were filled in."""
    points = []
    for form in formset:
        given = form.cleaned_data
        if given.get("water_content"):
            point = {"water_content": given["water_content"], "dry_density": given["dry_density"]}
            if given["rejected"]:
                point |= {"rejected": True, **({"why": given["why"]} if given["why"] else {})}
            points.append(point)
    return points
