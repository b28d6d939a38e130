"""Entry of a sample: where it is from, limits, and the percentages that pass the sieves and finer sizes."""

from collections.abc import Mapping
from typing import Any, Final

from django import forms

from compaction.calculations.gradation import SIEVES
from compaction.forms.quantities import QuantityField, tidy_number
from compaction.forms.references import CODE
from projects.models import Project

NUMBERS: Final = ("specific_gravity",)
PERCENTS: Final = {
    "liquid_limit": "Liquid limit",
    "plastic_limit": "Plastic limit",
    "liquid_limit_oven_dried": "Liquid limit after oven drying",
    "natural_water_content": "Natural water content",
}
FINER_SIZES: Final = 6
ORDER: Final = (
    "code", "description", "source", "location", "station", "sampled_by", "sampled_on", "liquid_limit", "plastic_limit",
    "non_plastic", "liquid_limit_oven_dried", "natural_water_content", "maximum_particle", "specific_gravity",
    "specific_gravity_measured", "peat", "reported_symbol", "reported_name", "aashto_group", "reason", "remarks",
)  # fmt: skip
_DECIMAL: Final = {"inputmode": "decimal", "autocomplete": "off"}


class SampleForm(forms.Form):
    """One revision. The record behind it checks what belongs together."""

    code = forms.RegexField(CODE, label="Code", max_length=40, help_text="As on the bag, for example S-12.")
    description = forms.CharField(label="Description", max_length=200)
    source = forms.CharField(label="Source", max_length=200, required=False, help_text="Borrow area or stockpile.")
    location = forms.CharField(label="Location", max_length=200, required=False)
    station = forms.CharField(label="Station", max_length=40, required=False)
    sampled_by = forms.CharField(label="Sampled by", max_length=200, required=False)
    sampled_on = forms.DateField(label="Sampled on", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    non_plastic = forms.BooleanField(label="It is non-plastic", required=False)
    specific_gravity = forms.CharField(
        label="Specific gravity of solids", required=False, widget=forms.TextInput(attrs=_DECIMAL)
    )
    specific_gravity_measured = forms.BooleanField(label="It was measured, not assumed", required=False)
    peat = forms.BooleanField(label="It is mainly organic matter (peat)", required=False)
    reported_symbol = forms.CharField(label="Group symbol as reported", max_length=12, required=False)
    reported_name = forms.CharField(label="Group name as reported", max_length=200, required=False)
    aashto_group = forms.CharField(
        label="AASHTO group as reported", max_length=12, required=False, help_text="For example A-2-4."
    )
    reason = forms.CharField(
        label="Why it is entered or revised", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    remarks = forms.CharField(
        label="Remarks", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, project: Project, revising: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label in PERCENTS.items():
            self.fields[name] = QuantityField(project=project, kind="percent", label=label, required=False)
        self.fields["maximum_particle"] = QuantityField(
            project=project, kind="thickness", label="Largest particle", required=False
        )
        for code, (name, opening) in SIEVES.items():
            self.fields[f"sieve_{code}"] = forms.CharField(
                label=f"{name} ({opening:f} mm)", required=False, widget=forms.TextInput(attrs=_DECIMAL)
            )
        for number in range(1, FINER_SIZES + 1):
            for part, label in (("size", f"Other size {number}, mm"), ("passing", f"Passing size {number}, %")):
                self.fields[f"{part}_{number}"] = forms.CharField(
                    label=label, required=False, widget=forms.TextInput(attrs=_DECIMAL)
                )
        self.order_fields(ORDER)
        if revising:
            self.fields["code"].required = False
            self.fields["code"].widget = forms.HiddenInput()
            self.fields["reason"].required = True

    @property
    def general(self) -> list[Any]:
        """The fields above the gradation."""
        names = [name for name in self.fields if not name.startswith(("sieve_", "size_", "passing_"))]
        return [self[name] for name in names if not self[name].is_hidden]

    @property
    def sieves(self) -> list[Any]:
        """One field a sieve."""
        return [self[f"sieve_{code}"] for code in SIEVES]

    @property
    def sizes(self) -> list[Any]:
        """Pairs of size and percentage, finer than the sieves or beside them."""
        return [self[f"{part}_{number}"] for number in range(1, FINER_SIZES + 1) for part in ("size", "passing")]

    def body(self) -> dict[str, Any]:
        """The sample as the record reads it; what was left empty is left out."""
        given = self.cleaned_data
        body: dict[str, Any] = {}
        for name, value in given.items():
            if name == "code" or name.startswith(("sieve_", "size_", "passing_")) or value in ("", None, False):
                continue
            body[name] = value.isoformat() if name == "sampled_on" else value
        for name in NUMBERS:
            if name in body:
                body[name] = tidy_number(body[name])
        gradation = [
            {"sieve": code, "passing": f"{tidy_number(given[f'sieve_{code}'])} %"}
            for code in SIEVES
            if given.get(f"sieve_{code}")
        ]
        for number in range(1, FINER_SIZES + 1):
            size, passing = given.get(f"size_{number}"), given.get(f"passing_{number}")
            if size or passing:
                written = {"size": f"{tidy_number(size or '')} mm", "passing": f"{tidy_number(passing or '')} %"}
                gradation.append(written)
        if gradation:
            body["gradation"] = gradation
        return body


def initial_of(content: Mapping[str, Any]) -> dict[str, Any]:
    """What a form starts from when a sample is revised: everything but the reason."""
    initial = {name: value for name, value in content.items() if name not in ("gradation", "reason")}
    number = 0
    for one in content.get("gradation", ()):
        if "sieve" in one:
            initial[f"sieve_{one['sieve']}"] = one["passing"].removesuffix(" %")
        elif one["size"].endswith(" mm") and number < FINER_SIZES:
            number += 1
            initial[f"size_{number}"] = one["size"].removesuffix(" mm")
            initial[f"passing_{number}"] = one["passing"].removesuffix(" %")
    return initial
