"""The converter's form: a list of places, what they are, and on which line."""

from typing import Any

from django import forms

from projects.geometry.conversion_rows import MOST_ROWS
from projects.geometry.conversion_text import KINDS
from projects.geometry.linear_units import LINEAR_UNITS


class ConverterForm(forms.Form):
    """One or many places, one a line."""

    kind = forms.ChoiceField(label="The list holds", choices=list(KINDS.items()))
    alignment = forms.ChoiceField(label="Alignment", required=False)
    unit = forms.ChoiceField(
        label="Eastings and northings in",
        choices=lambda: [(unit.code, unit.name) for unit in LINEAR_UNITS.values()],
    )
    places = forms.CharField(
        label="Places",
        max_length=400_000,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false", "class": "mono", "autocapitalize": "off"}),
        help_text=(
            "One a line, columns parted by comma, semicolon or tab: 12+34.56, 15 L. A label may stand in front. "
            f"At most {MOST_ROWS} lines."
        ),
    )

    def __init__(self, *args: Any, alignments: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        every = [("", "whichever fits")] if len(alignments) != 1 else []
        self.fields["alignment"].choices = [*every, *alignments]  # type: ignore[attr-defined]

    def clean_places(self) -> str:
        """Not more lines than are converted at once."""
        text = str(self.cleaned_data["places"])
        lines = sum(1 for line in text.splitlines() if line.strip())
        if lines > MOST_ROWS:
            raise forms.ValidationError(f"At most {MOST_ROWS} lines are converted at once; these are {lines}.")
        return text
