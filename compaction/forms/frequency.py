"""Entry of how often to test: a row for each rule, its counters as plain lines that read back as they were written.

A line is `basis interval [within X] [at least N]`: "volume 2000 yd3 within lift at least 2", "day 1 within area".
What a line leaves out, the record leaves out; so a revision written through the API comes back unchanged.
"""

import re
from collections.abc import Mapping
from typing import Any, Final

from django import forms

from compaction.calculations.methods import METHODS
from compaction.calculations.readings import TEXT_LIMIT
from compaction.forms.quantities import tidy_number
from compaction.frequency_rules import BASES, WITHIN
from compaction.observation.choices import PURPOSES
from compaction.records.frequency_rule import COUNTS, KINDS, MOST_RULES, units

COUNTS_WORDS: Final = dict(zip(COUNTS, ("tests in place", "laboratory references"), strict=True))
_LINE: Final = re.compile(
    r"(?P<basis>[a-z]+)"
    r"(?: (?P<number>[0-9.]+)(?: (?P<unit>(?!within\b|at\b)\S+))?)?"
    r"(?: within (?P<within>[a-z]+))?"
    r"(?: at least (?P<minimum>[0-9]{1,4}))?"
)


def counter_line(counter: Mapping[str, Any]) -> str:
    """A counter of a record as its line.

    >>> counter_line({"basis": "volume", "interval": "2000 yd3", "minimum": 2})
    'volume 2000 yd3 at least 2'
    """
    parts = [counter.get("basis", ""), counter.get("interval", "")]
    parts += [f"within {counter['within']}"] if "within" in counter else []
    parts += [f"at least {counter['minimum']}"] if "minimum" in counter else []
    return " ".join(str(part) for part in parts if part != "")


def counter_of(line: str) -> dict[str, Any]:
    """The counter that a line says, as the record reads it. Raises `ValueError` with what is wrong.

    >>> counter_of("Length 100 ft, within lift, at least 1")
    {'basis': 'length', 'interval': '100 ft', 'within': 'lift', 'minimum': 1}
    >>> counter_of("day within area")
    {'basis': 'day', 'within': 'area'}
    """
    plain = " ".join(re.sub(r",(?=\s|$)", " ", line).split())
    found = _LINE.fullmatch(plain[:1].lower() + plain[1:])
    if found is None:
        raise ValueError("write for example volume 2000 yd3 within lift at least 2.")
    basis, number, unit, within = found.group("basis", "number", "unit", "within")
    if basis not in BASES:
        raise ValueError(f"{basis[:20]!r} is not counted up; known are {', '.join(BASES)}.")
    if within and within not in WITHIN:
        raise ValueError(f"within {within[:20]!r} is not known; write within {', '.join(WITHIN)}.")
    counter: dict[str, Any] = {"basis": basis}
    if basis in KINDS:
        if not number or unit not in units()[basis]:
            raise ValueError(f"{basis} wants a number with its unit ({', '.join(units()[basis])}).")
        counter["interval"] = f"{tidy_number(number)} {unit}"
    elif number:
        if unit or not number.isdigit():
            raise ValueError(f"{basis} counts whole things: a whole number without a unit.")
        counter["interval"] = int(number)
    if within:
        counter["within"] = within
    if minimum := found.group("minimum"):
        counter["minimum"] = int(minimum)
    return counter


class FrequencyForm(forms.Form):
    """One rule of frequency."""

    name = forms.CharField(label="Name", required=False, max_length=TEXT_LIMIT, help_text="Sentences tell rules by it.")
    counters = forms.CharField(
        label="One test for every",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3, "spellcheck": "false"}),
        help_text="One a line; whichever gives more. For example: volume 2000 yd3 within lift at least 2.",
    )
    zone = forms.CharField(label="Area", required=False, max_length=40, help_text="Empty: everywhere.")
    clause = forms.CharField(label="Clause, in one line", required=False, max_length=TEXT_LIMIT)
    signed_release = forms.BooleanField(label="A lift is released by signature", required=False)
    material = forms.CharField(label="Only of the material", required=False, max_length=TEXT_LIMIT)
    counts = forms.ChoiceField(label="What is counted", required=False, choices=lambda: list(COUNTS_WORDS.items()))
    methods = forms.MultipleChoiceField(
        label="Only tests by",
        required=False,
        choices=lambda: [(name, method.title) for name, method in METHODS.items()],
        widget=forms.SelectMultiple(attrs={"size": 4}),
    )
    purposes = forms.MultipleChoiceField(
        label="Tests that count",
        required=False,
        choices=lambda: list(PURPOSES.items()),
        widget=forms.SelectMultiple(attrs={"size": 4}),
        help_text="None is marked: acceptance.",
    )
    after_passes = forms.IntegerField(
        label="Reduced after so many passes in a row", required=False, min_value=1, max_value=1000
    )
    one_in = forms.IntegerField(label="Then one lift of so many", required=False, min_value=2, max_value=1000)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial = dict(self.initial)
        if isinstance(self.initial.get("counters"), list):
            self.initial["counters"] = "\n".join(counter_line(one) for one in self.initial["counters"])

    def has_changed(self) -> bool:
        """Always looked at."""
        return True

    def clean_counters(self) -> list[dict[str, Any]]:
        """The counters, line by line; every wrong line is named."""
        found, wrong = [], []
        for number, line in enumerate(self.cleaned_data["counters"].splitlines(), start=1):
            if not line.strip():
                continue
            try:
                found.append(counter_of(line))
            except ValueError as error:
                wrong.append(f"Line {number}: {error}")
        if wrong:
            raise forms.ValidationError(wrong)
        return found

    @property
    def usual(self) -> list[Any]:
        """What nearly every rule needs."""
        return [self[name] for name in ("name", "counters", "zone", "clause", "signed_release")]

    @property
    def special(self) -> list[Any]:
        """What few rules need."""
        return [self[name] for name in SPECIAL]

    @property
    def unfolded(self) -> bool:
        """Whether something stands in what few rules need, or is wrong there."""
        given = self.cleaned_data if self.is_bound and hasattr(self, "cleaned_data") else self.initial
        return any(given.get(name) not in (*_EMPTY, "tests") or name in self.errors for name in SPECIAL)


_EMPTY: Final[tuple[Any, ...]] = ("", None, False, [])
SPECIAL: Final = ("material", "counts", "methods", "purposes", "after_passes", "one_in")
FrequencyFormSet = forms.formset_factory(FrequencyForm, extra=1, max_num=MOST_RULES, validate_max=True)


def rule_of(row: Any) -> dict[str, Any]:
    """The rule of a row as the record reads it; empty where the row has neither name nor counters."""
    given = {name: value for name, value in row.cleaned_data.items() if value not in _EMPTY}
    if not ("name" in given or "counters" in given):
        return {}
    return {name: value for name, value in given.items() if (name, value) != ("counts", "tests")}
