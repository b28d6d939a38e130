"""Entry of a specification: criteria as clauses read, and the rounding rule in its order of steps."""

from typing import Any, Final

from django import forms

from compaction.calculations.quantities import UNITS
from compaction.forms.quantities import QuantityField, tidy_number
from compaction.forms.references import CODE
from compaction.calculations.criteria import QUANTITIES
from compaction.records.specification import ROUNDED
from projects.models import Project, Reach

CRITERIA_WORDS: Final = {
    "percent_compaction": "percent compaction",
    "relative_density": "relative density, between the index densities",
    "water_content_deviation": "water content from optimum (wet is positive)",
    "water_content": "water content",
    "air_voids": "air voids",
    "saturation": "degree of saturation",
}
ROUNDED_WORDS: Final = {name: name.replace("_", " ") for name in ROUNDED} | {
    "maximum": "maximum dry density",
    "corrected_maximum": "corrected maximum dry density",
    "optimum": "optimum water content",
    "water_content_deviation": "water content from optimum",
}
LIMITS: Final = {
    "hold_above_percent_compaction": "Hold a test above this percent compaction",
    "review_above_percent_compaction": "Remark a test above this percent compaction",
    "saturation_tolerance": "Tolerance above zero air voids, in saturation",
}


#: findings about instruments and people that a contract may want held; others can be named through the API
HELD_WORDS: Final = {
    "apparatus-out-of-date": "instrument out of date",
    "apparatus-not-registered": "instrument not registered",
    "gauge-not-registered": "gauge not registered",
    "calibration-doubtful": "calibration remarked",
    "cone-correction-differs": "cone correction not that of the pair",
    "sand-density-differs": "sand density not that registered",
    "sand-density-out-of-date": "sand density too old",
    "cylinder-volume-differs": "cylinder volume not that registered",
    "standard-count-missing": "no standard count of the day",
    "standard-count-rejected": "standard count not accepted",
    "standard-count-differs": "standard count not that on file",
    "operator-certificate-missing": "operator without certificate",
    "operator-certificate-out-of-date": "operator's certificate out of date",
}


class SpecificationForm(forms.Form):
    """One revision, apart from its criteria and rounding steps."""

    code = forms.RegexField(
        CODE,
        label="Code",
        max_length=40,
        error_messages={"invalid": "It stands in addresses: letters, digits, points, hyphens and underscores."},
        help_text="For example the section of the contract.",
    )
    title = forms.CharField(label="Title", max_length=200)
    oven_required = forms.BooleanField(
        label="A field moisture leaves the result provisional until the oven value", required=False
    )
    absolute = forms.BooleanField(label="Compare unrounded figures (ASTM E29, absolute method)", required=False)
    held_findings = forms.MultipleChoiceField(
        label="Findings that hold a test until somebody releases it",
        required=False,
        choices=lambda: list(HELD_WORDS.items()),
        widget=forms.SelectMultiple(attrs={"size": 5}),
        help_text="None is marked: they are remarked and hold nothing.",
    )
    reach = forms.ChoiceField(label="Which tests it governs", choices=lambda: list(Reach.choices))
    effective_from = forms.DateField(
        label="From the day", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    reason = forms.CharField(
        label="Why it is entered or revised", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, project: Project, revising: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label in LIMITS.items():
            self.fields[name] = QuantityField(project=project, kind="percent", label=label, required=False)
        self.fields["water_density"] = QuantityField(
            project=project, kind="density", label="Density of water, if not 1000 kg/m³", required=False
        )
        self.fields["water_temperature"] = QuantityField(
            project=project, kind="temperature", label="Or the temperature it is taken at", required=False
        )
        held = [*HELD_WORDS.items()]
        held += [(code, code) for code in self.initial.get("held_findings", ()) if code not in HELD_WORDS]
        self.fields["held_findings"].choices = held  # type: ignore[attr-defined]
        if revising:
            self.fields["code"].required = False
            self.fields["code"].widget = forms.HiddenInput()
            self.fields["reason"].required = True

    def body(self, criteria: list[dict[str, Any]], steps: list[dict[str, Any]]) -> dict[str, Any]:
        """The revision as the record reads it; what was left empty is left out."""
        body: dict[str, Any] = {
            name: value.isoformat() if name == "effective_from" else value
            for name, value in self.cleaned_data.items()
            if name != "code" and value not in ("", None, False, [])
        }
        return body | {"criteria": criteria} | ({"rounding": steps} if steps else {})


class CriterionForm(forms.Form):
    """One criterion."""

    quantity = forms.ChoiceField(
        label="Quantity",
        required=False,
        choices=lambda: [("", "–"), *((name, CRITERIA_WORDS.get(name, name)) for name in QUANTITIES)],
    )
    contractual = forms.BooleanField(label="Decides (else it only informs)", required=False, initial=True)
    zone = forms.CharField(label="Area", required=False, max_length=40, help_text="Empty: everywhere.")
    clause = forms.CharField(
        label="Clause, as it reads", required=False, max_length=200, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, kind, label in (
            ("minimum", "percent", "Minimum"),
            ("maximum", "percent", "Maximum"),
            ("depth_from", "length", "From depth below grade"),
            ("depth_to", "length", "To depth below grade"),
        ):
            self.fields[name] = QuantityField(project=project, kind=kind, label=label, required=False)
        self.order_fields(["quantity", "minimum", "maximum", "zone", "depth_from", "depth_to", "clause", "contractual"])

    def has_changed(self) -> bool:
        """Always looked at."""
        return True


class StepForm(forms.Form):
    """One step of the rounding rule."""

    quantity = forms.ChoiceField(
        label="Quantity",
        required=False,
        choices=lambda: [("", "–"), *((name, ROUNDED_WORDS.get(name, name)) for name in ROUNDED)],
    )
    method = forms.ChoiceField(label="Method", choices=[("round", "round"), ("truncate", "cut off")], required=False)
    increment = forms.CharField(label="To", required=False, max_length=20)
    unit = forms.ChoiceField(
        label="Unit", required=False, choices=lambda: [(unit, unit) for unit in ("%", *UNITS["density"])]
    )
    tie = forms.ChoiceField(
        label="A tie goes", choices=[("half_even", "to the even digit"), ("half_up", "up")], required=False
    )

    def has_changed(self) -> bool:
        """Always looked at."""
        return True


CriterionFormSet = forms.formset_factory(CriterionForm, extra=3, max_num=60, validate_max=True)
StepFormSet = forms.formset_factory(StepForm, extra=4, max_num=20, validate_max=True)


def criteria_from(formset: Any) -> list[dict[str, Any]]:
    """The criteria that were filled in."""
    found = []
    for form in formset:
        given = form.cleaned_data
        if given.get("quantity"):
            criterion = {
                name: value for name, value in given.items() if value not in ("", None) and name != "contractual"
            }
            found.append(criterion | {"contractual": bool(given.get("contractual"))})
    return found


def steps_from(formset: Any) -> list[dict[str, Any]]:
    """The rounding steps that were filled in, in order."""
    found = []
    for form in formset:
        given = form.cleaned_data
        if given.get("quantity") and given.get("increment"):
            step = {name: given[name] for name in ("quantity", "method", "unit", "tie") if given.get(name)}
            if step.get("method") == "truncate":
                step.pop("tie", None)
            found.append(step | {"increment": tidy_number(given["increment"])})
    return found
