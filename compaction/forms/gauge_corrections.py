"""Forms for comparing a gauge: propose a correction, make or take out a pair, choose the rule, adopt."""

from typing import Any

from django import forms

from compaction.calculations.comparison_rules import RULES
from compaction.evaluation.gauge_comparison import Proposal
from compaction.forms.quantities import QuantityField, tidy_number
from compaction.forms.rulings import Once, reason_field
from compaction.instrument_facts import GaugeKey
from projects.models import Project

FACTOR_OF = {"": "–", "water_content": "water content", "water": "water per volume"}


class ProposeForm(Once):
    """A correction of one key. Constants go in the unit that they were found in; factors are the rarer case."""

    analysis_digest = forms.CharField(max_length=64, widget=forms.HiddenInput, required=False)
    effective_from = forms.DateField(label="From the day", widget=forms.DateInput(attrs={"type": "date"}))
    any_reference = forms.BooleanField(label="For every soil, not only this one", required=False)
    density_factor = forms.CharField(label="Factor on the wet density", max_length=12, required=False)
    water_factor = forms.CharField(label="Factor on the moisture", max_length=12, required=False)
    water_factor_of = forms.ChoiceField(
        label="The factor belongs to", required=False, choices=lambda: list(FACTOR_OF.items())
    )
    ends = forms.BooleanField(label="End the correction in force, without another", required=False)
    reason = reason_field("Why")

    def __init__(self, *args: Any, project: Project, proposal: Proposal | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["density_offset"] = QuantityField(
            project=project, kind="density", label="Wet density, added to the display", required=False
        )
        self.fields["water_offset_points"] = QuantityField(
            project=project, kind="percent", label="Water content, points added", required=False
        )
        self.fields["water_offset_mass"] = QuantityField(
            project=project, kind="density", label="Or water per volume, added", required=False
        )
        if proposal is not None and not self.is_bound:
            self.initial["density_offset"] = proposal.density_offset
            in_points = proposal.water_offset.endswith("%")
            self.initial["water_offset_points" if in_points else "water_offset_mass"] = proposal.water_offset

    def body(self, key: GaugeKey) -> dict[str, Any]:
        """The record that is sent; what was left empty stands in it nowhere. The records check it."""
        given = self.cleaned_data
        body: dict[str, Any] = {"gauge": key.gauge, "mode": key.mode}
        if key.reference and not given["any_reference"]:
            body["reference"] = key.reference
        if key.notch is not None:
            body["depth"] = f"{key.notch} in"
        density = {"value": given["density_offset"], "factor": tidy_number(given["density_factor"])}
        water = {
            "value": given["water_offset_points"] or given["water_offset_mass"],
            "factor": tidy_number(given["water_factor"]),
            "factor_of": given["water_factor_of"],
        }
        for name, offset in (("density_offset", density), ("water_offset", water)):
            kept = {member: value for member, value in offset.items() if value}
            if kept:
                body[name] = kept
        if given["ends"]:
            body["ends"] = True
        if given["analysis_digest"] and not given["any_reference"]:
            body["analysis_digest"] = given["analysis_digest"]
        return {**body, "effective_from": given["effective_from"].isoformat(), "reason": given["reason"]}

    def clean(self) -> dict[str, Any] | None:
        """One form of water at a time."""
        given = super().clean()
        if given and given.get("water_offset_points") and given.get("water_offset_mass"):
            self.add_error("water_offset_mass", "In points or per volume, not both: they are different corrections.")
        return given


class PairForm(Once):
    """Two tests by their numbers on the sheets."""

    gauge_label = forms.CharField(label="Gauge test, number", max_length=40)
    direct_label = forms.CharField(label="Direct test, number", max_length=40)
    reason = reason_field("Why they are a pair")


class PairStateForm(Once):
    """Take a pair out of the figures, or put it back."""

    gauge_test = forms.UUIDField(widget=forms.HiddenInput)
    direct_test = forms.UUIDField(widget=forms.HiddenInput, required=False)
    counts = forms.BooleanField(widget=forms.HiddenInput, required=False)
    reason = forms.CharField(label="Why", max_length=4000)


class RuleForm(Once):
    """The rule of comparison."""

    rule = forms.ChoiceField(label="Rule", choices=lambda: [(code, rule.title) for code, rule in RULES.items()])
    reason = forms.CharField(label="Where it stands", max_length=4000)


class AdoptForm(Once):
    """An engineer's adoption."""

    reason = reason_field("On what ground it is adopted")
