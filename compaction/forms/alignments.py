"""An alignment as people give it: a LandXML file, a table of points of intersection, a baseline; then its name."""

from typing import Any

from django import forms

from compaction.forms.rulings import Once
from projects.geometry.landxml.importing import SURFACES
from projects.geometry.linear_units import LINEAR_UNITS
from projects.geometry.section_text import ground_rows, section_rows
from projects.geometry.table_text import TableTextError, equation_rows, pi_rows, profile_rows, station_number
from projects.geometry.typical_section import UNDER_SLOPE

MOST_FILE_BYTES = 20_000_000
SURFACE_CHOICES = [("finished_grade", "finished grade"), ("subgrade", "subgrade")]
FEET = ("ratio", "apart", "station_within")
TABLE = {"rows": 6, "spellcheck": "false", "class": "mono"}


def units() -> list[tuple[str, str]]:
    """The linear units."""
    return [(unit.code, unit.name) for unit in LINEAR_UNITS.values()]


class ScaleFields(forms.Form):
    """Ground lengths on a grid: nothing is scaled unless the factor is said here."""

    combined_factor = forms.CharField(
        label="Combined factor",
        max_length=20,
        required=False,
        help_text="Only where stations are ground lengths: grid ÷ ground, such as 0.99984. Leave empty otherwise.",
    )
    scale_coordinates = forms.ChoiceField(
        label="The points are",
        choices=[("grid", "grid coordinates"), ("ground", "ground coordinates")],
        required=False,
    )
    shift_easting = forms.CharField(
        label="Shift of easting", max_length=20, required=False, help_text="grid = ground × factor + shift"
    )
    shift_northing = forms.CharField(label="Shift of northing", max_length=20, required=False)

    def scale(self) -> dict[str, str] | None:
        """The member of the content, None without a factor."""
        given = self.cleaned_data
        if not given.get("combined_factor"):
            return None
        shifts = {name: given[name] for name in ("shift_easting", "shift_northing") if given.get(name)}
        return {
            "combined_factor": given["combined_factor"],
            "coordinates": given["scale_coordinates"] or "grid",
            **shifts,
        }


class FileForm(ScaleFields):
    """A LandXML file. What it leaves open is asked on the next page."""

    file = forms.FileField(
        label="LandXML file", help_text="LandXML 1.0 to 2.0 or Inframodel, up to 20 MB. Surfaces in it are passed over."
    )

    def clean_file(self) -> Any:
        """Refuse what is too large before it is read."""
        file = self.cleaned_data["file"]
        if file.size > MOST_FILE_BYTES:
            raise forms.ValidationError("The file is larger than 20 MB. Export the alignments alone, without surfaces.")
        return file


class QuestionsForm(ScaleFields):
    """Answers to what a file leaves open; only the open questions are shown as fields with choices."""

    kept = forms.CharField(widget=forms.HiddenInput, max_length=2_400_000)

    def __init__(self, *args: Any, questions: Any = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for question in questions:
            name = f"answer_{question.name}"
            if question.options:
                choices = [("", "please choose"), *((value or "-", words) for value, words in question.options)]
                self.fields[name] = forms.ChoiceField(label=question.sentence, choices=choices)
            else:
                self.fields[name] = forms.CharField(
                    label=question.sentence, max_length=60, widget=forms.TextInput(attrs={"list": "surfaces"})
                )


class SectionFields(forms.Form):
    """Typical section and original ground; both may be left out."""

    section_rows = forms.CharField(
        label="Typical section", max_length=20_000, required=False, widget=forms.Textarea(attrs={**TABLE, "rows": 4}),
        help_text=(
            "One a line: station along the line | both 30 -2% 2:1 (width, cross slope away from the line, side slope; "
            "or L … | R …) | layers from the top with their thickness: pavement 0.5 | base 0.75. Between rows widths "
            "and slopes change in proportion."
        ),
    )  # fmt: skip
    grade_line = forms.ChoiceField(label="The grade line lies on", choices=SURFACE_CHOICES, required=False)
    depth_from = forms.ChoiceField(
        label="Depth is counted from", choices=SURFACE_CHOICES, initial="subgrade", required=False
    )
    under_slope = forms.ChoiceField(label="Under a side slope, from", choices=list(UNDER_SLOPE.items()), required=False)
    lift_thickness = forms.CharField(
        label="Nominal thickness of a lift", max_length=12, required=False,
        help_text="Compacted, in the alignment's unit.",
    )  # fmt: skip
    lifts_from = forms.ChoiceField(
        label="Lifts are counted from", choices=[("bottom", "the bottom"), ("top", "the top")], required=False
    )
    feet_ratio = forms.CharField(
        label="A second place counts up to", max_length=8, required=False,
        help_text="Times as far as the nearest: coordinates that fit both are a question. Empty: 1.5.",
    )  # fmt: skip
    feet_apart = forms.CharField(label="or so much farther", max_length=8, required=False, help_text="Empty: 0.5 m.")
    feet_station_within = forms.CharField(
        label="A station beside coordinates fits within", max_length=8, required=False, help_text="Empty: 3 m."
    )
    ground_rows = forms.CharField(
        label="Original ground", max_length=40_000, required=False, widget=forms.Textarea(attrs={**TABLE, "rows": 4}),
        help_text=(
            "One cross line a row, left to right: station along the line | 100 L 1280.5 | 0 1286 | 60 R 1291.2. "
            "Stripped foundation where it was stripped."
        ),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Both tables as content; each tells the line that it cannot read."""
        cleaned = super().clean() or {}
        for name, read in (("section_rows", section_rows), ("ground_rows", ground_rows)):
            try:
                cleaned[name] = read(cleaned.get(name, ""))
            except TableTextError as error:
                self.add_error(name, str(error))
        if cleaned.get("lift_thickness") and not cleaned.get("section_rows"):
            self.add_error("section_rows", "A thickness of lifts belongs to a typical section; enter its rows.")
        return cleaned

    def section(self) -> dict[str, Any]:
        """The members of the content: those that were entered."""
        given, content = self.cleaned_data, {}
        if given["section_rows"]:
            content["typical_section"] = {
                "rows": given["section_rows"],
                "grade_line": given["grade_line"] or "finished_grade",
                "depth_from": given["depth_from"] or "subgrade",
                "under_slope": given["under_slope"] or "slope_face",
                "lift_thickness": given["lift_thickness"] or None,
                "lifts_from": given["lifts_from"] or "bottom",
            }
        if given["ground_rows"]:
            content["ground"] = given["ground_rows"]
        if feet := {name: given[f"feet_{name}"] for name in FEET if given[f"feet_{name}"]}:
            content["feet"] = feet
        return content


class SectionForm(SectionFields):
    """Section and ground of an alignment that exists; what is left empty stays as it is."""

    def clean(self) -> dict[str, Any]:
        """Something has to be entered."""
        cleaned = super().clean()
        entered = ("section_rows", "ground_rows", *(f"feet_{name}" for name in FEET))
        if not self.errors and not any(cleaned.get(name) for name in entered):
            raise forms.ValidationError("Enter a typical section, an original ground, or both.")
        return cleaned


class TableForm(SectionFields, ScaleFields):
    """A table of points of intersection, or of the corners of a baseline, with equations and a profile."""

    unit = forms.ChoiceField(label="Stations, radii and lengths in", choices=units)
    coordinate_unit = forms.ChoiceField(label="Coordinates in", choices=units)
    start_station = forms.CharField(label="Station of the first point", max_length=20, help_text="As 1000 or 10+00.")
    points = forms.CharField(
        label="Points",
        max_length=40_000,
        widget=forms.Textarea(attrs={**TABLE, "rows": 8}),
        help_text=(
            "One a line: easting northing, then R 1200, or D 4.5 arc (or chord), then in 200 out 150 for spirals. "
            "A point without a radius is a corner; the first and the last are ends."
        ),
    )
    equations = forms.CharField(
        label="Station equations", max_length=8000, required=False, widget=forms.Textarea(attrs={**TABLE, "rows": 3}),
        help_text=(
            "One a line, back = ahead: 12+00 = 15+00; write decreasing behind it where numbers run down. Kilometres "
            "of unequal length: 27+1001.8 = km 28."
        ),
    )  # fmt: skip
    profile = forms.CharField(
        label="Design profile", max_length=20_000, required=False, widget=forms.Textarea(attrs={**TABLE, "rows": 5}),
        help_text="One a line: station along the line, elevation, then L 400, or L1 100 L2 200, or R 5000.",
    )  # fmt: skip
    surface = forms.CharField(
        label="The profile is",
        max_length=60,
        required=False,
        widget=forms.TextInput(attrs={"list": "surfaces"}),
        help_text="As the plan sheet says: finished grade, top of subgrade, top of fill.",
    )

    def clean(self) -> dict[str, Any]:
        """The content; each table tells the line that it cannot read."""
        cleaned = super().clean() or {}
        self.content: dict[str, Any] = {"kind": "pi_table"}
        for name, read in (("points", pi_rows), ("equations", equation_rows), ("profile", profile_rows)):
            try:
                cleaned[f"{name}_rows"] = read(cleaned.get(name, ""))
            except TableTextError as error:
                self.add_error(name, str(error))
        try:
            cleaned["start"] = station_number(cleaned.get("start_station", ""))
        except TableTextError as error:
            self.add_error("start_station", str(error))
        if cleaned.get("profile") and not cleaned.get("surface"):
            self.add_error("surface", "What is the profile: finished grade, top of subgrade, top of fill?")
        return cleaned

    def plain(self) -> dict[str, Any]:
        """The content of the alignment."""
        given = self.cleaned_data
        content = {
            "kind": "pi_table",
            "unit": given["unit"],
            "coordinate_unit": given["coordinate_unit"],
            "start_station": given["start"],
            "pis": given["points_rows"],
            "equations": given["equations_rows"],
        }
        if given["profile_rows"]:
            content["profile"] = {"surface": given["surface"], "points": given["profile_rows"]}
        content |= self.section()
        scale = self.scale()
        return content if scale is None else {**content, "scale": scale}


class SaveForm(Once):
    """The name under which what was looked at is saved."""

    kept = forms.CharField(widget=forms.HiddenInput, max_length=2_400_000)
    code = forms.SlugField(label="Code", max_length=40, help_text="What tests name, such as main or ramp-b.")
    name = forms.CharField(label="Name", max_length=120)


__all__ = ["SURFACES", "FileForm", "QuestionsForm", "SaveForm", "SectionForm", "TableForm"]
