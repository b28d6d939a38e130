"""Entry of criteria: what nearly every one needs at once, place, soil and method folded away beneath."""

from typing import Any, Final

from django import forms
from django.utils.html import format_html
from django.utils.safestring import SafeString

from compaction.calculations.criteria import QUANTITIES
from compaction.calculations.criterion_conditions import MEASURED
from compaction.calculations.lot_rules import STATISTICS
from compaction.calculations.methods import METHODS
from compaction.forms.quantities import QuantityField, QuantityWidget, tidy_number, units_of
from compaction.records.criterion import LISTS, LONGEST_CLAUSE
from projects.models import Project

CRITERIA_WORDS: Final = {
    "relative_density": "relative density, between the index densities",
    "water_content_deviation": "water content from optimum (wet is positive)",
    "saturation": "degree of saturation",
}
_LOW: Final = (("at_least", "from, included"), ("above", "above"))
_HIGH: Final = (("at_most", "to, included"), ("below", "below"))
_THIN: Final = ("maximum_particle", "lift_thickness")
#: folds of a criterion: heading, fields
FOLDS: Final = (
    ("Place", ("zone", "depth_from", "depth_to", "elevation", "structure", "structure_distance")),
    ("Soil", ("group_symbols", "aashto_groups", "plasticity_index", "liquid_limit", "fines", "gravel")),
    ("Reference and method", ("reference_methods", "reference_maximum", "methods")),
    ("Material and lift of the test", ("oversize", "maximum_particle", "lift_thickness", "equals")),
)


class RangeWidget(forms.MultiWidget):
    """Lower end, upper end, each included or not, and one unit for both."""

    template_name = "django/forms/widgets/multiwidget.html"
    use_fieldset = False

    def __init__(self, units: list[tuple[str, str]], label: str) -> None:
        self.first = units[0][0]
        number = {"inputmode": "decimal", "autocomplete": "off"}
        super().__init__(
            {
                "low_end": forms.Select(choices=_LOW, attrs={"aria-label": f"{label}: lower end"}),
                "low": forms.TextInput(attrs={**number, "aria-label": f"{label}: lower figure"}),
                "high_end": forms.Select(choices=_HIGH, attrs={"aria-label": f"{label}: upper end"}),
                "high": forms.TextInput(attrs={**number, "aria-label": f"{label}: upper figure"}),
                "unit": forms.Select(choices=units, attrs={"aria-label": f"{label}: unit"})
                if len(units) > 1
                else forms.HiddenInput(),
            }
        )

    def render(self, *args: Any, **kwargs: Any) -> SafeString:
        """The parts in two lines, by the style sheet."""
        return format_html('<span class="range">{}</span>', super().render(*args, **kwargs))

    def id_for_label(self, id_: str) -> str:
        """The lower figure is what the label names."""
        return f"{id_}_1"

    def decompress(self, value: dict[str, str] | None) -> list[str]:
        """{"above": "15 %", "at_most": "35 %"} as its parts."""
        given = value or {}
        low_end = next((end for end, _ in _LOW if end in given), "at_least")
        high_end = next((end for end, _ in _HIGH if end in given), "at_most")
        low, _, low_unit = given.get(low_end, "").partition(" ")
        high, _, high_unit = given.get(high_end, "").partition(" ")
        return [low_end, low, high_end, high, low_unit or high_unit or self.first]


class RangeField(forms.MultiValueField):
    """A range of a fact, as the record reads it; None where no end was typed."""

    def __init__(self, *, project: Project, kind: str, label: str) -> None:
        units = units_of(project, kind)
        ends = (_LOW, _HIGH)
        parts: list[forms.Field] = []
        for end in ends:
            parts += [forms.ChoiceField(choices=end, required=False), forms.CharField(required=False, max_length=40)]
        parts.append(forms.ChoiceField(choices=units, required=False))
        self.first = units[0][0]
        super().__init__(
            fields=parts, widget=RangeWidget(units, label), label=label, required=False, require_all_fields=False
        )

    def clean(self, value: Any) -> dict[str, str] | None:
        """Only the ends that have a figure."""
        low_end, low, high_end, high, unit = [*(value or []), *[""] * 5][:5]
        ends = ((low_end or "at_least", low), (high_end or "at_most", high))
        found = {
            end: f"{tidy_number(str(figure))} {unit or self.first}" for end, figure in ends if str(figure or "").strip()
        }
        return found or None


class LimitField(QuantityField):
    """A limit in percent, as a density or as a length."""

    def __init__(self, *, project: Project, label: str) -> None:
        units = [("%", "%"), *units_of(project, "density"), *units_of(project, "thickness")]
        forms.MultiValueField.__init__(
            self,
            fields=(forms.CharField(required=False, max_length=40), forms.ChoiceField(choices=units, required=False)),
            widget=QuantityWidget(units),
            require_all_fields=False,
            required=False,
            label=label,
        )


class CriterionForm(forms.Form):
    """One criterion."""

    quantity = forms.ChoiceField(
        label="Quantity",
        required=False,
        choices=lambda: [("", "–"), *((name, CRITERIA_WORDS.get(name, words)) for name, words in QUANTITIES.items())],
    )
    contractual = forms.BooleanField(label="Decides (else it only informs)", required=False, initial=True)
    zone = forms.CharField(label="Area", required=False, max_length=40, help_text="Empty: everywhere.")
    clause = forms.CharField(
        label="Clause, as it reads", required=False, max_length=LONGEST_CLAUSE, widget=forms.Textarea(attrs={"rows": 2})
    )
    statistic = forms.ChoiceField(
        label="Of each test, or of several",
        required=False,
        choices=lambda: [
            ("", "each test"),
            *((name, words) for name, (words, _) in STATISTICS.items() if name != "each"),
        ],
        help_text="Of several: it informs at each test, a lot judges it.",
    )
    structure = forms.CharField(label="At a structure", required=False, max_length=40, help_text="As tests name it.")
    group_symbols = forms.CharField(label="Group symbols", required=False, max_length=200, help_text="CL, CH")
    aashto_groups = forms.CharField(label="AASHTO groups", required=False, max_length=200, help_text="A-3, A-2-4")
    reference_methods = forms.CharField(
        label="Only of references by", required=False, max_length=200, help_text="D698, T99. Others are refused."
    )
    methods = forms.MultipleChoiceField(
        label="Only tests by",
        required=False,
        choices=lambda: [(name, method.title) for name, method in METHODS.items()],
        widget=forms.SelectMultiple(attrs={"size": 4}),
    )

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label in (("minimum", "Minimum"), ("maximum", "Maximum")):
            self.fields[name] = LimitField(project=project, label=label)
        for name, kind, label in (
            ("depth_from", "length", "From depth below grade"),
            ("depth_to", "length", "To depth below grade"),
            ("equals", "thickness", "Probe depth, exactly"),
        ):
            self.fields[name] = QuantityField(project=project, kind=kind, label=label, required=False)
        for name, (kind, words) in MEASURED.items():
            shown = "thickness" if name in _THIN else kind
            self.fields[name] = RangeField(project=project, kind=shown, label=words.capitalize())
        self.initial = dict(self.initial)  # what it was made from belongs to a draft or a revision
        for name in LISTS:
            if name != "methods" and isinstance(self.initial.get(name), list):
                self.initial[name] = ", ".join(self.initial[name])

    def has_changed(self) -> bool:
        """Always looked at."""
        return True

    @property
    def usual(self) -> list[Any]:
        """What nearly every criterion needs."""
        return [self[name] for name in ("quantity", "minimum", "maximum", "clause", "contractual", "statistic")]

    @property
    def folds(self) -> list[tuple[str, list[Any], bool]]:
        """Heading, fields, and whether something stands in them."""
        return [(title, [self[name] for name in names], self._filled(names)) for title, names in FOLDS]

    def _filled(self, names: tuple[str, ...]) -> bool:
        if self.is_bound:
            return any(self.cleaned_data.get(name) or name in self.errors for name in names)
        return any(self.initial.get(name) for name in names)


CriterionFormSet = forms.formset_factory(CriterionForm, extra=2, max_num=60, validate_max=True)


def criterion_of(row: Any) -> dict[str, Any]:
    """The criterion of a row as the record reads it; empty where the row has no quantity."""
    given = row.cleaned_data
    if not given.get("quantity"):
        return {}
    item = {name: value for name, value in given.items() if value not in ("", None, []) and name != "contractual"}
    for name in LISTS:
        if isinstance(item.get(name), str):
            item[name] = [word.strip() for word in item[name].split(",") if word.strip()]
    return item | {"contractual": bool(given.get("contractual"))}
