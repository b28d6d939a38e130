"""Entry of references that are no single curve: index densities, a control strip, a family of curves."""

from typing import Any, Final

from django import forms

from compaction.calculations.errors import ReadingError
from compaction.calculations.oversize_practices import DEFAULT_PRACTICE, PRACTICES
from compaction.calculations.quantities import from_si, parse_quantity
from compaction.calculations.rounding import plain_number
from compaction.forms.quantities import QuantityField, first_unit, tidy_number
from compaction.forms.references import CODE, OVERSIZE_RULES
from compaction.observation.choices import SIEVES
from compaction.records.index_density import MAXIMUM_METHODS, MINIMUM_METHODS
from projects.models import Project, Reach

PRACTICE_WORDS: Final = {
    "" if code == DEFAULT_PRACTICE else code: practice.name for code, practice in PRACTICES.items()
}


class DensitiesField(forms.CharField):
    """Densities in the project's unit, parted by blanks or lines, as quantities."""

    def __init__(self, *, project: Project, **kwargs: Any) -> None:
        self.unit = first_unit(project, "density")
        super().__init__(required=False, max_length=600, widget=forms.Textarea(attrs={"rows": 2}), **kwargs)

    def clean(self, value: Any) -> Any:
        """Each number with the unit; the record checks them."""
        return [f"{tidy_number(number)} {self.unit}" for number in (super().clean(value) or "").split()]

    def prepare_value(self, value: Any) -> Any:
        """What is on record, as numbers in the project's unit."""
        if isinstance(value, list):
            return " ".join(self._in_unit(str(item)) for item in value)
        return value

    def _in_unit(self, quantity: str) -> str:
        number, _, unit = quantity.partition(" ")
        if unit == self.unit:
            return number
        try:
            return plain_number(from_si(parse_quantity(quantity, "density"), self.unit), decimals=4)
        except ReadingError:
            return number


class OtherReferenceForm(forms.Form):
    """What the kinds have in common. The record behind it checks ranges and what belongs together."""

    kind = ""
    quantities: tuple[tuple[str, str, str, bool], ...] = ()
    densities: tuple[tuple[str, str, str, str], ...] = ()  # name, label, member of one entry, help
    order: tuple[str, ...] = ()

    code = forms.RegexField(
        CODE,
        label="Code",
        max_length=40,
        error_messages={"invalid": "It stands in addresses: letters, digits, points, hyphens and underscores."},
        help_text="As crews write it.",
    )
    soil = forms.CharField(label="Soil", max_length=200, required=False)
    specific_gravity = forms.CharField(label="Specific gravity of solids", required=False)
    specific_gravity_measured = forms.BooleanField(label="It was measured, not assumed", required=False)
    valid_until = forms.DateField(
        label="Holds until", required=False, widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Tests made later carry a finding.",
    )  # fmt: skip
    reach = forms.ChoiceField(label="Which tests it governs", choices=lambda: list(Reach.choices))
    effective_from = forms.DateField(
        label="From the day", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    reason = forms.CharField(
        label="Why it is entered or revised", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    remarks = forms.CharField(
        label="Remarks", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(
        self, *args: Any, project: Project, curves: tuple[str, ...] = (), revising: bool = False, **kwargs: Any
    ) -> None:
        given: dict[str, Any] = dict(kwargs.pop("initial", None) or {})
        for name, _, member, _ in self.densities:
            if name in given:
                given[name] = [item.get(member, "") for item in given[name] if isinstance(item, dict)]
        kwargs["initial"] = given
        super().__init__(*args, **kwargs)
        for name, unit_kind, label, required in self.quantities:
            self.fields[name] = QuantityField(project=project, kind=unit_kind, label=label, required=required)
        for name, label, _, help_text in self.densities:
            self.fields[name] = DensitiesField(
                project=project, label=f"{label}, {first_unit(project, 'density')}", help_text=help_text
            )
        if "curves" in self.fields:
            named = tuple(given.get("curves", ()))
            choices = [(code, code) for code in dict.fromkeys((*curves, *named))]
            self.fields["curves"].choices = choices  # type: ignore[attr-defined]
        if revising:
            self.fields["code"].required = False
            self.fields["code"].widget = forms.HiddenInput()
            self.fields["reason"].required = True
        self.order_fields(["code", "soil", *self.order, "specific_gravity", "specific_gravity_measured", "valid_until"])

    def body(self) -> dict[str, Any]:
        """The revision as the record reads it; what was left empty is left out."""
        body: dict[str, Any] = {
            name: value.isoformat() if name in ("effective_from", "valid_until") else value
            for name, value in self.cleaned_data.items()
            if name != "code" and value not in ("", None, False, [])
        }
        for name in ("specific_gravity", "oversize_bulk_specific_gravity"):
            if name in body:
                body[name] = tidy_number(body[name])
        for name, _, member, _ in self.densities:
            if name in body:
                body[name] = [{member: density} for density in body[name]]
        return {"kind": self.kind, **body}


class IndexDensityForm(OtherReferenceForm):
    """Minimum and maximum index density."""

    kind = "index_density"
    quantities = (
        ("minimum_index_density", "density", "Minimum index density", True),
        ("maximum_index_density", "density", "Maximum index density", True),
        ("fines", "percent", "Passing the No. 200 (0.075 mm) sieve", False),
    )
    densities = (
        ("minimum_trials", "Trials of the minimum", "index_density", "One figure after the other."),
        ("maximum_trials", "Trials of the maximum", "index_density", "One figure after the other."),
    )
    order = (
        "minimum_index_density", "minimum_method", "minimum_trials", "maximum_index_density", "maximum_method",
        "maximum_trials", "fines",
    )  # fmt: skip
    minimum_method = forms.ChoiceField(label="Method of the minimum", choices=lambda: list(MINIMUM_METHODS.items()))
    maximum_method = forms.ChoiceField(label="Method of the maximum", choices=lambda: list(MAXIMUM_METHODS.items()))


class ControlStripForm(OtherReferenceForm):
    """What the roller reached on a strip."""

    kind = "control_strip"
    quantities = (
        ("maximum_dry_density", "density", "Maximum of the strip", True),
        ("optimum_water_content", "percent", "Water content at which it was reached", False),
    )
    densities = (("readings", "Readings on the strip", "dry_density", "Dry densities, one after the other."),)
    order = ("method", "area", "roller", "readings", "maximum_dry_density", "optimum_water_content", "valid_until")
    method = forms.CharField(label="How the strip was tested", max_length=30, help_text="For example gauge, 10 spots.")
    area = forms.CharField(label="Where the strip is", max_length=200, required=False)
    roller = forms.CharField(label="Roller and passes", max_length=200, required=False)


class FamilyForm(OtherReferenceForm):
    """Which curves belong together."""

    kind = "family"
    quantities = (
        ("oversize_water_content", "percent", "Water content of the oversize", False),
        ("standing_oversize", "percent", "Standing oversize", False),
    )
    order = (
        "method", "curves", "control_sieve", "oversize_rule", "oversize_practice", "oversize_bulk_specific_gravity",
        "oversize_water_content", "standing_oversize",
    )  # fmt: skip
    method = forms.CharField(label="The one method of its curves", max_length=30, help_text="For example T99-A.")
    curves = forms.MultipleChoiceField(
        label="Its curves", widget=forms.CheckboxSelectMultiple, help_text="At least three (AASHTO R 75)."
    )
    control_sieve = forms.ChoiceField(label="Sieve that limited the specimens", choices=lambda: list(SIEVES.items()))
    oversize_rule = forms.ChoiceField(label="Oversize", choices=lambda: list(OVERSIZE_RULES.items()))
    oversize_practice = forms.ChoiceField(
        label="Whose limits of oversize", required=False, choices=lambda: list(PRACTICE_WORDS.items())
    )
    oversize_bulk_specific_gravity = forms.CharField(label="Bulk specific gravity of the oversize", required=False)


FORMS: Final[dict[str, type[OtherReferenceForm]]] = {
    form.kind: form for form in (IndexDensityForm, ControlStripForm, FamilyForm)
}
