"""Entry of the specimens of a curve: masses from the bench, or water content and dry density worked out before."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from django import forms

from compaction.forms.quantities import QuantityField, tidy_number
from compaction.forms.references import MASS_UNITS
from projects.models import Project

CANS: Final = (("1", "top", "Can 1 (top)"), ("2", "bottom", "Can 2 (bottom)"))
MASSES: Final = {"wet": "moist soil and can", "dry": "dry soil and can", "empty": "empty can"}
_MEMBERS: Final = {"wet": "wet_and_can", "dry": "dry_and_can", "empty": "can_mass"}
SPECIMENS: Final = 6


class PointForm(forms.Form):
    """One compacted specimen. Masses are numbers in the unit of the sheet; one with a unit of its own keeps it."""

    rejected = forms.BooleanField(label="Rejected", required=False)
    why = forms.CharField(label="Why it is rejected", required=False, max_length=200)

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        mass = {"inputmode": "decimal", "autocomplete": "off"}
        self.fields["mould_and_soil"] = forms.CharField(
            label="Mould with moist soil", required=False, max_length=40, widget=forms.TextInput(attrs=mass)
        )
        for number, _, words in CANS:
            for part, what in MASSES.items():
                self.fields[f"{part}_{number}"] = forms.CharField(
                    label=f"{words}: {what}", required=False, max_length=40, widget=forms.TextInput(attrs=mass)
                )
        self.fields["water_content"] = QuantityField(
            project=project, kind="percent", label="Water content", required=False
        )
        self.fields["dry_density"] = QuantityField(project=project, kind="density", label="Dry density", required=False)

    @property
    def masses(self) -> list[Any]:
        """The fields of the bench."""
        return [self["mould_and_soil"], *(self[f"{part}_{number}"] for number, _, _ in CANS for part in MASSES)]

    @property
    def figures(self) -> list[Any]:
        """The fields of figures worked out before."""
        return [self["water_content"], self["dry_density"]]

    @property
    def ruling(self) -> list[Any]:
        """Whether it counts."""
        return [self["rejected"], self["why"]]

    @property
    def shows_figures(self) -> bool:
        """Whether the part with figures worked out before holds anything."""
        written = [bound.value() for bound in (*self.figures, *self.ruling)]
        return any(value[0] if isinstance(value, list) else value for value in written)

    def clean(self) -> dict[str, Any]:
        """A density and a water content, each once, or nothing at all."""
        given = super().clean() or {}
        cans = [[given.get(f"{part}_{number}") for part in MASSES] for number, _, _ in CANS]
        weighed = any(any(can) for can in cans)
        if any(any(can) and not all(can) for can in cans):
            raise forms.ValidationError("A can needs its three masses: moist, dry and empty.")
        density, water = given.get("dry_density"), given.get("water_content")
        if not (density or water or weighed or given.get("mould_and_soil")):
            return given
        if not (density or given.get("mould_and_soil")) or not (water or weighed):
            raise forms.ValidationError(
                "A point needs its water content and its dry density, or the masses that they follow from."
            )
        if (density and given.get("mould_and_soil")) or (water and weighed):
            raise forms.ValidationError("Give masses or the figure worked out from them, not both.")
        return given

    def has_changed(self) -> bool:
        """Always looked at: units alone do not make a point."""
        return True


PointFormSet = forms.formset_factory(PointForm, extra=SPECIMENS, max_num=40, validate_max=True)


def points_from(formset: Any, mass_unit: str) -> list[dict[str, Any]]:
    """The points that were filled in, as the record reads them."""
    points = []
    for form in formset:
        given = form.cleaned_data
        point: dict[str, Any] = {name: given[name] for name in ("water_content", "dry_density") if given.get(name)}
        if given.get("mould_and_soil"):
            point["mould_and_soil"] = _mass(given["mould_and_soil"], mass_unit)
        cans = [
            {"place": place, **{_MEMBERS[part]: _mass(given[f"{part}_{number}"], mass_unit) for part in MASSES}}
            for number, place, _ in CANS
            if given.get(f"wet_{number}")
        ]
        if cans:
            point["cans"] = cans
        if not point:
            continue
        if given["rejected"]:
            point |= {"rejected": True, **({"why": given["why"]} if given["why"] else {})}
        points.append(point)
    return points


def _mass(text: str, unit: str) -> str:
    """A mass with its unit; what carries one already keeps it."""
    number, _, own = text.strip().partition(" ")
    return f"{tidy_number(number)} {own or unit}"


def initial_of(points: Iterable[Mapping[str, Any]]) -> tuple[str, list[dict[str, Any]]]:
    """(unit of the sheet, first values of the forms) of points on record. A mass in another unit shows its own."""
    points = list(points)
    units = [text.partition(" ")[2] for text in _masses(points)]
    unit = next((one for one in units if one in MASS_UNITS), MASS_UNITS[0])
    return unit, [_initial(point, unit) for point in points]


def fits_the_form(points: Iterable[Mapping[str, Any]]) -> bool:
    """Whether the form can show these points: what a program sent may hold more (a wet density, a third can)."""
    known = {"water_content", "dry_density", "mould_and_soil", "cans", "rejected", "why"}
    return all(set(point) <= known and len(point.get("cans", ())) <= len(CANS) for point in points)


def _masses(points: Iterable[Mapping[str, Any]]) -> list[str]:
    found = []
    for point in points:
        found += [point["mould_and_soil"]] if "mould_and_soil" in point else []
        found += [can[member] for can in point.get("cans", ()) for member in _MEMBERS.values()]
    return found


def _initial(point: Mapping[str, Any], unit: str) -> dict[str, Any]:
    names = ("water_content", "dry_density", "rejected", "why")
    initial = {name: point[name] for name in names if name in point}
    if "mould_and_soil" in point:
        initial["mould_and_soil"] = point["mould_and_soil"].removesuffix(f" {unit}")
    for (number, _, _), can in zip(CANS, point.get("cans", ()), strict=False):
        for part, member in _MEMBERS.items():
            initial[f"{part}_{number}"] = can[member].removesuffix(f" {unit}")
    return initial
