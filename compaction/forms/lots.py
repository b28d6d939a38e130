"""Declaration of a lot: its extent, the rules its tests must meet together, and its closing."""

from typing import Any, Final

from django import forms

from compaction.calculations.acceptance_constants import TABLES
from compaction.calculations.lot_rules import STATISTICS
from compaction.forms.quantities import QuantityField, QuantityWidget, tidy_number, units_of
from compaction.forms.references import CODE
from compaction.forms.rulings import Once, reason_field
from compaction.observation.choices import PURPOSES
from compaction.records.lot_rule import QUANTITIES
from projects.models import Project

QUANTITY_WORDS: Final = {
    "percent_compaction": "percent compaction",
    "water_content_deviation": "water content from optimum (wet is positive)",
    "relative_density": "relative density",
    "dry_density": "dry density",
}
RETEST_WORDS: Final = {
    "replace": "a retest stands in the place of the test it repeats",
    "count": "every retest counts beside the test it repeats",
    "leave_out": "only first tests count",
}
FAILURE_WORDS: Final = {
    "stand": "stand: each is reworked, retested and closed by itself",
    "governed": "the statistic governs; they are listed and stay open until an engineer closes them",
}
#: what is left out of the body when it says what holds anyway
_DEFAULTS: Final = {"within_by": "beta", "figures": "unrounded", "tie": "half_even"}
_TEXTS: Final = ("zone", "alignment", "station_from", "station_to", "offset_from", "offset_to", "k_source", "reason")


class LimitField(QuantityField):
    """A limit in percent or as a density."""

    def __init__(self, *, project: Project, **kwargs: Any) -> None:
        units = [("%", "%"), *units_of(project, "density")]
        forms.MultiValueField.__init__(
            self,
            fields=(forms.CharField(required=False, max_length=40), forms.ChoiceField(choices=units, required=False)),
            widget=QuantityWidget(units),
            require_all_fields=False,
            required=False,
            **kwargs,
        )


def _pick(label: str, words: dict[str, str] | None = None, **kwargs: Any) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=lambda: list((words or {}).items()), **kwargs)


class LotForm(forms.Form):
    """One revision, apart from its rules."""

    code = forms.RegexField(
        CODE,
        label="Code",
        max_length=40,
        error_messages={"invalid": "It stands in addresses: letters, digits, points, hyphens and underscores."},
        help_text="For example LOT-7.",
    )
    title = forms.CharField(label="Title", max_length=200)
    zone = _pick("Area", required=False, help_text="Empty: every area.")
    lift_from = forms.IntegerField(label="From lift", min_value=0, max_value=9999, required=False)
    lift_to = forms.IntegerField(label="To lift", min_value=0, max_value=9999, required=False)
    alignment = _pick("Alignment", required=False, help_text="Only for a range of stations.")
    station_from = forms.CharField(label="From station", max_length=60, required=False)
    station_to = forms.CharField(label="To station", max_length=60, required=False)
    offset_from = forms.CharField(label="From offset", max_length=60, required=False, help_text="Empty: whole width.")
    offset_to = forms.CharField(label="To offset", max_length=60, required=False)
    first_day = forms.DateField(label="First day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    last_day = forms.DateField(label="Last day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    next_tests = forms.IntegerField(
        label="Only the next tests", min_value=1, max_value=500, required=False, help_text="Empty: all of them."
    )
    purposes = forms.MultipleChoiceField(
        label="Which tests count", choices=lambda: list(PURPOSES.items()), initial=["acceptance"]
    )
    retests = _pick("Retests", RETEST_WORDS)
    individual_failures = _pick("Failures of single tests", FAILURE_WORDS)
    k_by_tests = forms.CharField(
        label="Table of k", max_length=400, required=False, help_text="Tests and k: 4: 0.617, 5: 0.675, 6: 0.719"
    )
    k_source = forms.CharField(label="Where k comes from", max_length=200, required=False)
    reason = forms.CharField(
        label="Why it is declared", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, project: Project, under: Any, revising: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = {"zone": ("every area", under.areas), "alignment": ("–", under.alignments)}
        for name, (nothing, codes) in known.items():
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = [("", nothing), *((code, code) for code in sorted(codes))]
        self.fields["comparison_risk"] = QuantityField(
            project=project, kind="percent", label="Risk taken when QC and owner's tests are compared", required=False
        )
        if revising:
            self.fields["code"].required = False
            self.fields["code"].widget = forms.HiddenInput()
            self.fields["reason"].required = True

    def clean_k_by_tests(self) -> list[dict[str, Any]]:
        """The table as the record reads it."""
        found = []
        for entry in filter(None, (part.strip() for part in self.cleaned_data["k_by_tests"].split(","))):
            tests, _, k = entry.partition(":")
            if not (tests.strip().isascii() and tests.strip().isdigit()):
                raise forms.ValidationError("Write each entry as tests: k, for example 6: 0.719, parted by commas.")
            found.append({"tests": int(tests), "k": tidy_number(k)})
        return found

    def body(self, rules: list[dict[str, Any]]) -> dict[str, Any]:
        """The revision as the record reads it; what was left empty is left out."""
        given = self.cleaned_data
        body: dict[str, Any] = {"title": given["title"], "rules": rules, "purposes": given["purposes"]}
        body |= {name: given[name] for name in (*_TEXTS, "comparison_risk", "k_by_tests") if given[name]}
        body |= {name: given[name] for name in ("lift_from", "lift_to", "next_tests") if given[name] is not None}
        body |= {name: given[name].isoformat() for name in ("first_day", "last_day") if given[name]}
        return body | {name: given[name] for name in ("retests", "individual_failures")}


class RuleForm(forms.Form):
    """One rule."""

    statistic = forms.ChoiceField(
        label="Statistic",
        required=False,
        choices=lambda: [("", "–"), *((name, words) for name, (words, _) in STATISTICS.items())],
    )
    quantity = _pick("Quantity", {name: QUANTITY_WORDS[name] for name in QUANTITIES})
    of = forms.IntegerField(label="Tests in the moving average", min_value=2, max_value=50, required=False)
    k = forms.CharField(label="k, if it is one number", max_length=20, required=False)
    k_table = _pick(
        "Or a table of k", {"": "the lot's own, below", **{n: t.title for n, t in TABLES.items()}}, required=False
    )
    within_by = _pick(
        "Worked out by", {"beta": "the beta distribution", "table": "whole percents, the next higher"}, required=False
    )
    minimum_tests = forms.IntegerField(label="Least number of tests", min_value=1, max_value=500, required=False)
    figures = _pick(
        "Figures of the tests", {"unrounded": "unrounded", "judged": "as judged, after rounding"}, required=False
    )
    round_quality_index = forms.CharField(label="Round the quality index to", max_length=20, required=False)
    tie = _pick("A tie goes", {"half_even": "to the even digit", "half_up": "up"}, required=False)
    clause = forms.CharField(label="Clause, as it reads", max_length=200, required=False)

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label in {
            "minimum": "At least",
            "maximum": "At most",
            "each_minimum": "No test below",
            "each_maximum": "No test above",
            "round_mean": "Round the mean to",
            "round_standard_deviation": "Round the standard deviation to",
            "round_statistic": "Round the statistic to",
        }.items():
            self.fields[name] = LimitField(project=project, label=label)
        self.fields["percent_within"] = QuantityField(
            project=project, kind="percent", label="Least percent within the limits", required=False
        )

    def has_changed(self) -> bool:
        """Always looked at."""
        return True

    def part(self, *names: str) -> list[Any]:
        """Bound fields by name, for the template."""
        return [self[name] for name in names]

    @property
    def usual(self) -> list[Any]:
        """What nearly every rule needs."""
        return self.part("statistic", "quantity", "minimum", "maximum", "minimum_tests", "clause")

    @property
    def special(self) -> list[Any]:
        """What belongs to one statistic."""
        return self.part("each_minimum", "each_maximum", "of", "k", "k_table", "percent_within", "within_by")

    @property
    def rounding(self) -> list[Any]:
        """How figures are rounded on the way."""
        return self.part(
            "figures", "round_mean", "round_standard_deviation", "round_quality_index", "round_statistic", "tie"
        )


RuleFormSet = forms.formset_factory(RuleForm, extra=2, max_num=6, validate_max=True)


def rules_from(formset: Any) -> list[dict[str, Any]]:
    """The rules that were filled in."""
    found = []
    for form in formset:
        given = form.cleaned_data
        if not given.get("statistic"):
            continue
        rule = {name: value for name, value in given.items() if value not in ("", None)}
        rule = {name: value for name, value in rule.items() if _DEFAULTS.get(name) != value}
        for name in ("k", "round_quality_index"):
            if name in rule:
                rule[name] = tidy_number(rule[name])
        found.append(rule)
    return found


def initial_of(content: dict[str, Any]) -> dict[str, Any]:
    """A revision on record as the form shows it, for the next one."""
    table = ", ".join(f"{entry['tests']}: {entry['k']}" for entry in content.get("k_by_tests", []))
    return {**{name: value for name, value in content.items() if name != "reason"}, "k_by_tests": table}


class LotClosingForm(Once):
    """An engineer's closing of a lot, on the figures shown."""

    basis_digest = forms.CharField(max_length=64, widget=forms.HiddenInput)
    meaning = _pick("Decision", {"accepted": "accept the lot", "rejected": "reject the lot"})
    reason = reason_field("Reason")
