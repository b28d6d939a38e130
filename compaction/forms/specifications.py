"""Entry of a specification: criteria as clauses read, and the rounding rule in its order of steps."""

from typing import Any, Final

from django import forms

from compaction.calculations.quantities import UNITS
from compaction.forms import looks
from compaction.forms.quantities import QuantityField, tidy_number
from compaction.forms.references import CODE
from compaction.observation.choices import PURPOSES
from compaction.records.specification import CERTAINTIES, CLOSED_BY, MOST_RETESTS, ROUNDED
from projects.models import Project, Reach

ROUNDED_WORDS: Final = {name: name.replace("_", " ") for name in ROUNDED} | {
    "maximum": "maximum dry density",
    "corrected_maximum": "corrected maximum dry density",
    "optimum": "optimum water content",
    "water_content_deviation": "water content from optimum",
}
CLOSER_WORDS: Final = dict(
    zip(CLOSED_BY, ("an engineer", "a supervisor or an engineer", "passing tests, by themselves"), strict=True)
)
CERTAINTY_WORDS: Final = dict(zip(CERTAINTIES, ("read in it", "from memory", "common practice"), strict=True))
#: folds beneath the heading of a revision
FOLDS: Final = (
    ("Retests and closing", ("retest_distance", "retest_passing_retests", "retest_closed_by")),
    (
        "Holds, water and comparing",
        (
            "hold_above_percent_compaction",
            "review_above_percent_compaction",
            "saturation_tolerance",
            "held_findings",
            "editions",
            "water_density",
            "water_temperature",
            "absolute",
        ),
    ),
    ("From when a page points something out", looks.NAMES),
    (
        "Which tests, observed areas, draft",
        ("purposes", "reach", "effective_from", "observation_accepts", "remarks", "draft", "source", "certainty"),
    ),
)
LIMITS: Final = {
    "hold_above_percent_compaction": "Hold a test above this percent compaction",
    "review_above_percent_compaction": "Remark a test above this percent compaction",
    "saturation_tolerance": "Tolerance above zero air voids, in saturation",
}


#: findings about specimens, instruments and people that a contract may want held; others can be named through the API
HELD_WORDS: Final = {
    "hole-too-small": "hole smaller than the standard's table",
    "moisture-specimen-too-small": "moisture specimen smaller than the standard's table",
    "carbide-dial-beyond-aggregate": "carbide dial beyond its range for aggregate",
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
    edition = forms.CharField(
        label="Edition", max_length=200, required=False, help_text="Of the document that the clauses are quoted from."
    )
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
    editions = forms.CharField(
        label="Editions of test standards",
        max_length=400,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="One a line, for example ASTM D1556: 2015. Hole and specimen tables are those of that edition; "
        "without one, of the newest on file.",
    )
    purposes = forms.MultipleChoiceField(
        label="Tests that decide",
        required=False,
        choices=lambda: list(PURPOSES.items()),
        widget=forms.SelectMultiple(attrs={"size": 4}),
        help_text="None is marked: all of them. Tests for another purpose only inform.",
    )
    retest_passing_retests = forms.IntegerField(
        label="Passing retests in a row", min_value=1, max_value=MOST_RETESTS, required=False
    )
    retest_closed_by = forms.ChoiceField(
        label="Who closes a failure", required=False, choices=lambda: [("", "–"), *CLOSER_WORDS.items()]
    )
    observation_accepts = forms.CharField(
        label="Areas where observation stands in for densities",
        required=False,
        max_length=2000,
        help_text="As observed areas name them, with commas between. A proof roll there is shown as accepted.",
    )
    remarks = forms.CharField(
        label="Remarks", required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 2})
    )
    draft = forms.BooleanField(label="It is a draft: edition and clauses are still to be filled in", required=False)
    source = forms.CharField(label="Where its figures come from", max_length=200, required=False)
    certainty = forms.ChoiceField(
        label="How certain that is", required=False, choices=lambda: [("", "–"), *CERTAINTY_WORDS.items()]
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
        self.fields["retest_distance"] = QuantityField(
            project=project, kind="length", label="A retest lies within", required=False
        )
        if isinstance(areas := self.initial.get("observation_accepts"), list):
            self.initial["observation_accepts"] = ", ".join(areas)
        looks.add_fields(self, project)
        for name, value in (self.initial.get("retest") or {}).items():
            self.initial[f"retest_{name}"] = value
        if isinstance(editions := self.initial.get("editions"), dict):
            self.initial["editions"] = "\n".join(f"{standard}: {year}" for standard, year in editions.items())
        held = [*HELD_WORDS.items()]
        held += [(code, code) for code in self.initial.get("held_findings", ()) if code not in HELD_WORDS]
        self.fields["held_findings"].choices = held  # type: ignore[attr-defined]
        if revising:
            self.fields["code"].required = False
            self.fields["code"].widget = forms.HiddenInput()
            self.fields["reason"].required = True

    def clean_editions(self) -> dict[str, str]:
        """Standard -> year, as the record reads it."""
        found = {}
        for line in self.cleaned_data["editions"].splitlines():
            standard, colon, year = line.rpartition(":")
            if line.strip() and not colon:
                raise forms.ValidationError("Write each as standard: year, for example ASTM D1556: 2015.")
            if line.strip():
                found[" ".join(standard.split())] = year.strip()
        return found

    def clean_observation_accepts(self) -> list[str]:
        """Codes of areas, as the record reads them."""
        return [part.strip() for part in self.cleaned_data["observation_accepts"].split(",") if part.strip()]

    @property
    def usual(self) -> list[Any]:
        """What every revision needs."""
        folded = {name for _, names in FOLDS for name in names}
        return [item for item in self.visible_fields() if item.name not in folded]

    @property
    def folds(self) -> list[tuple[str, list[Any], bool]]:
        """Heading, fields, and whether one of them has an error."""
        return [
            (title, [self[name] for name in names], any(name in self.errors for name in names))
            for title, names in FOLDS
        ]

    def body(self, **rows: list[dict[str, Any]]) -> dict[str, Any]:
        """The revision as the record reads it, with its rows by name; what was left empty is left out."""
        body: dict[str, Any] = {
            name: value.isoformat() if name == "effective_from" else value
            for name, value in self.cleaned_data.items()
            if not name.startswith(("code", "retest_", looks.PREFIX)) and value not in ("", None, False, [], {})
        }
        retest = {name: self.cleaned_data[f"retest_{name}"] for name in ("distance", "passing_retests", "closed_by")}
        if any(retest.values()):
            body["retest"] = {name: value for name, value in retest.items() if value}
        if pointed_out := looks.body(self.cleaned_data):
            body["looks"] = pointed_out
        return body | {name: found for name, found in rows.items() if found or name == "criteria"}


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


StepFormSet = forms.formset_factory(StepForm, extra=4, max_num=20, validate_max=True)


def step_of(row: Any) -> dict[str, Any]:
    """The rounding step of a row as the record reads it; empty where the row has no quantity."""
    given = row.cleaned_data
    if not given.get("quantity"):
        return {}
    step = {name: given[name] for name in ("quantity", "method", "unit", "tie") if given.get(name)}
    if step.get("method") == "truncate":
        step.pop("tie", None)
    return step | ({"increment": tidy_number(given["increment"])} if given.get("increment") else {})
