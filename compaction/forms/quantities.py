"""A number and its unit side by side in a form, written as the records write it: "8 in"."""

import re
from typing import Any, Final

from django import forms
from django.utils.html import format_html
from django.utils.safestring import SafeString

from compaction.calculations.quantities import UNITS
from projects.models import Project

#: the unit offered first, by kind of quantity and by what the project measures in
FIRST_UNITS: Final = {
    "us": {"density": "pcf", "length": "ft", "thickness": "in", "mass": "g", "volume": "yd3", "percent": "%"},
    "si": {"density": "kg/m3", "length": "m", "thickness": "mm", "mass": "g", "volume": "m3", "percent": "%"},
}
_PARTS = re.compile(r"(-?)0*([0-9]*)(\.[0-9]*)?", re.ASCII)
SHOWN: Final = {"ft3": "ft³", "m3": "m³", "yd3": "yd³", "cm3": "cm³", "in3": "in³", "kg/m3": "kg/m³", "g/cm3": "g/cm³"}


def first_unit(project: Project, kind: str) -> str:
    """The unit that a form of this project offers first."""
    if kind == "density":
        return project.units
    return FIRST_UNITS["us" if project.units == "pcf" else "si"].get(kind, next(iter(UNITS.get(kind, {"": None}))))


def units_of(project: Project, kind: str) -> list[tuple[str, str]]:
    """(code, text) of every unit of a kind, the project's own first."""
    first = first_unit(project, kind)
    names = UNITS["length" if kind == "thickness" else kind]
    return [(unit, SHOWN.get(unit, unit)) for unit in sorted(names, key=lambda unit: unit != first)]


def tidy_number(text: str) -> str:
    """ ".5" becomes "0.5", "7." becomes "7", "007" becomes "7"; what is no plain number stays as it was typed.

    A comma is left alone: whether it parts decimals or thousands is not guessed.
    """
    bare = text.strip().replace("\u2212", "-").removeprefix("+")
    found = _PARTS.fullmatch(bare)
    if found is None or not any(character.isdigit() for character in bare):
        return text.strip()
    fraction = found.group(3) or ""
    return f"{found.group(1)}{found.group(2) or '0'}{fraction if len(fraction) > 1 else ''}"


class QuantityWidget(forms.MultiWidget):
    """An input for the number and a list of units, with the label on the number."""

    template_name = "django/forms/widgets/multiwidget.html"
    use_fieldset = False

    def __init__(self, units: list[tuple[str, str]]) -> None:
        self.first = units[0][0]
        super().__init__(
            {
                "": forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
                "unit": forms.Select(choices=units, attrs={"aria-label": "unit"}),
            }
        )

    def render(self, *args: Any, **kwargs: Any) -> SafeString:
        """The two parts as one, joined by the style sheet."""
        return format_html('<span class="quantity">{}</span>', super().render(*args, **kwargs))

    def id_for_label(self, id_: str) -> str:
        """The number is what the label names."""
        return f"{id_}_0"

    def decompress(self, value: str | None) -> list[str]:
        """ "8 in" as its two parts."""
        number, _, unit = (value or "").partition(" ")
        return [number, unit or self.first]


class QuantityField(forms.MultiValueField):
    """A quantity of a kind, as text with its unit; empty if no number was typed. The records check it."""

    def __init__(self, *, project: Project, kind: str, **kwargs: Any) -> None:
        units = units_of(project, kind)
        super().__init__(
            fields=(forms.CharField(required=False, max_length=40), forms.ChoiceField(choices=units, required=False)),
            widget=QuantityWidget(units),
            require_all_fields=False,
            **kwargs,
        )

    def clean(self, value: Any) -> str:
        """Only the number decides whether something was given."""
        number, unit = (value or ["", ""])[:2]
        number = tidy_number(str(number or ""))
        if not number:
            if self.required:
                raise forms.ValidationError("Give a number here.", code="required")
            return ""
        return f"{number} {unit}"
