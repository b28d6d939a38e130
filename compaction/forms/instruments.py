"""Entry of an instrument's record with its repeats or their weighings, and of a standard count."""

import re
from typing import Any, Final

from django import forms

from compaction.forms.quantities import tidy_number
from compaction.forms.references import CODE
from compaction.forms.rulings import Once
from compaction.records import apparatus, apparatus_parts, standard_counts
from compaction.records.calibration_weighings import WEIGHED

#: quantity that a calibration is of -> (words, units offered)
CALIBRATED: Final = {
    "cone_and_plate_mass": ("sand in cone and plate, mass", ("g", "kg", "lb")),
    "cone_and_plate_volume": ("cone and plate, volume", ("cm3", "ft3")),
    "sand_bulk_density": ("bulk density of the sand", ("g/cm3", "kg/m3", "pcf")),
    "cone_mass": ("sand in the cone of a pouring cylinder, mass", ("g", "kg", "lb")),
    "cylinder_volume": ("volume of a cylinder", ("cm3", "ft3")),
    "mould_volume": ("volume of a mould", ("cm3", "ft3")),
    "balloon_volume": ("volume of a known container by balloon", ("cm3", "ft3")),
}
UNITS: Final = tuple(dict.fromkeys(unit for _, units in CALIBRATED.values() for unit in units))
#: units of the weighings at the form
_WEIGHED_IN: Final = {"mass": "g", "temperature": "degC", "volume": "cm3"}
_PARTED = re.compile(r"[\s,;]+")


def day_field(label: str, *, required: bool = False, help_text: str = "") -> forms.DateField:
    """A day."""
    return forms.DateField(
        label=label, required=required, help_text=help_text, widget=forms.DateInput(attrs={"type": "date"})
    )


def _parts(text: str) -> list[str]:
    return [part for part in _PARTED.split(text.strip()) if part]


def iso(value: Any) -> str:
    """A day as it is written, or nothing."""
    return value.isoformat() if value else ""


class RecordForm(forms.Form):
    """The next record of an instrument. The record behind it checks ranges and what belongs together."""

    serial = forms.RegexField(
        CODE,
        label="Serial number",
        max_length=40,
        error_messages={"invalid": "It stands in addresses: letters, digits, points, hyphens and underscores."},
        help_text="As crews write it, for example SC-3.",
    )
    kind = forms.ChoiceField(label="Kind", choices=lambda: list(apparatus.KINDS.items()))
    name = forms.CharField(label="Name", max_length=120, required=False)
    belongs_to = forms.CharField(
        label="Sand: used with the cone and plate", max_length=40, required=False, help_text="Its serial number."
    )
    valid_from = day_field("Calibrated on, in force from", required=True)
    valid_until = day_field("Until", help_text="Or the number of days beside it. Sand without either lasts 14 days.")
    interval_days = forms.IntegerField(label="Lasts, days", min_value=1, max_value=3660, required=False)
    quantity = forms.ChoiceField(
        label="What was calibrated",
        required=False,
        choices=lambda: [("", "–"), *((name, words) for name, (words, _) in CALIBRATED.items())],
    )
    repeats = forms.CharField(
        label="Repeats, as written",
        max_length=400,
        required=False,
        help_text="Numbers apart by blanks: 1611 1613 1612. Their mean is the value in force.",
    )
    unit = forms.ChoiceField(label="Unit of the repeats", choices=[(unit, unit) for unit in UNITS], required=False)
    weighings = forms.CharField(
        label="Or its weighings, one repeat a line",
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Mould or cylinder by water: empty, full, temperature in °C. Sand in a container: empty, full, "
        "volume in cm3. Cone: before, after. Masses in g, apart by blanks: 4574.3 5514.7 27.8",
    )
    allowed_spread = forms.CharField(
        label="Allowed distance of one repeat from the mean, %",
        max_length=20,
        required=False,
        help_text="Empty: as the standard allows, 1 % for cone and sand (ASTM D1556, from memory).",
    )
    check_masses = forms.CharField(
        label="Balance: check masses, g",
        max_length=400,
        required=False,
        help_text="Mass = shown, apart by blanks: 1000=1000.2 5000=5001",
    )
    upkeep = forms.ChoiceField(
        label="Upkeep", required=False, choices=lambda: [("", "–"), *apparatus_parts.UPKEEP.items()]
    )
    done_on = day_field("Upkeep done on")
    due_on = day_field("Upkeep due again on")
    certificate_on = day_field("Gauge: day of the certificate's counts")
    certificate_density_count = forms.IntegerField(
        label="Density count of the certificate", required=False, min_value=1
    )
    certificate_moisture_count = forms.IntegerField(
        label="Moisture count of the certificate", required=False, min_value=1
    )
    count_interval_days = forms.IntegerField(
        label="Gauge: a standard count serves, days",
        required=False,
        min_value=1,
        max_value=366,
        help_text="1: that day only (ASTM D6938, from memory). Empty: not stated.",
    )
    remarks = forms.CharField(
        label="Remarks", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, known: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if known:
            self.fields["serial"].required = False
            self.fields["serial"].widget = forms.HiddenInput()

    def clean_check_masses(self) -> list[dict[str, str]]:
        """Pairs of what a mass is and what is shown for it."""
        found = []
        for part in _parts(self.cleaned_data["check_masses"]):
            nominal, equals, shown = part.partition("=")
            if not equals:
                raise forms.ValidationError("Write each as mass=shown, for example 1000=1000.2.")
            found.append({"nominal": f"{tidy_number(nominal)} g", "shown": f"{tidy_number(shown)} g"})
        return found

    def clean(self) -> dict[str, Any]:
        """Weighings as the record reads them: each line by the members that its quantity is weighed as."""
        given = super().clean() or {}
        wanted = WEIGHED.get(given.get("quantity", ""), ())
        rows = [_parts(line) for line in given.get("weighings", "").splitlines() if line.strip()]
        if rows and given.get("repeats"):
            self.add_error("weighings", "Give finished repeats or their weighings, not both.")
        elif rows and not wanted:
            self.add_error("quantity", "Weighings are taken of moulds, cylinders, cones and sand; choose which.")
        elif any(len(row) != len(wanted) for row in rows):
            self.add_error("weighings", f"Each line has {len(wanted)} numbers: {', '.join(f.name for f in wanted)}.")
        given["weighings"] = [
            {
                field.name: f"{tidy_number(part)} {_WEIGHED_IN[field.kind]}"
                for field, part in zip(wanted, row, strict=False)
            }
            for row in rows
        ]
        return given

    def body(self, *, carried: dict[str, Any]) -> dict[str, Any]:
        """The record as it is read; what the last record says and this form does not ask is `carried` on."""
        given = self.cleaned_data
        body: dict[str, Any] = {"kind": given["kind"], "valid_from": iso(given["valid_from"])}
        body |= {name: given[name] for name in ("name", "belongs_to", "interval_days", "remarks") if given[name]}
        if given["valid_until"]:
            body["valid_until"] = iso(given["valid_until"])
        if given["repeats"] or given["weighings"] or given["quantity"]:
            body["calibrations"] = [self._calibration(given)]
        if given["check_masses"]:
            body["check_masses"] = given["check_masses"]
        if given["upkeep"]:
            days = {name: iso(given[name]) for name in ("done_on", "due_on") if given[name]}
            body["upkeep"] = [{"what": given["upkeep"], **days}]
        if rule := self._rule(given, carried.get("standard_counts", {})):
            body["standard_counts"] = rule
        if "values" in carried and not body.get("calibrations"):
            body["values"] = carried["values"]
        if "calibrations" in carried and not body.get("calibrations"):
            body["calibrations"] = carried["calibrations"]
        return body

    @staticmethod
    def _calibration(given: dict[str, Any]) -> dict[str, Any]:
        found: dict[str, Any] = {"quantity": given["quantity"]}
        if given["weighings"]:
            found["weighings"] = given["weighings"]
        else:
            found["repeats"] = [f"{tidy_number(part)} {given['unit']}" for part in _parts(given["repeats"])]
        if given["allowed_spread"]:
            found["allowed_spread"] = f"{tidy_number(given['allowed_spread'])} %"
        return found

    @staticmethod
    def _rule(given: dict[str, Any], carried: dict[str, Any]) -> dict[str, Any]:
        if given["kind"] != "nuclear_gauge":
            return {}
        rule = dict(carried)
        names = {
            "certificate_density_count": "certificate_density_count",
            "certificate_moisture_count": "certificate_moisture_count",
            "count_interval_days": "interval_days",
        }
        rule |= {member: given[name] for name, member in names.items() if given[name]}
        if given["certificate_on"]:
            rule["certificate_on"] = iso(given["certificate_on"])
        return rule


class CountForm(Once):
    """Standard counts of a gauge, or repeated counts that show whether it is stable."""

    purpose = forms.ChoiceField(label="What for", choices=lambda: list(standard_counts.PURPOSES.items()))
    taken_at = forms.CharField(
        label="Taken at", widget=forms.DateTimeInput(attrs={"type": "datetime-local"}), help_text="Project time."
    )
    density_counts = forms.CharField(
        label="Density counts",
        max_length=400,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        help_text="One, or several apart by blanks.",
    )
    moisture_counts = forms.CharField(
        label="Moisture counts", max_length=400, required=False, widget=forms.TextInput(attrs={"inputmode": "numeric"})
    )
    person = forms.CharField(label="Taken by", max_length=150, required=False)
    replaces = forms.ChoiceField(label="Replaces a wrong entry", required=False)
    remarks = forms.CharField(label="Remarks", max_length=4000, required=False)

    def __init__(self, *args: Any, replaceable: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["replaces"].choices = [("", "no"), *replaceable]  # type: ignore[attr-defined]

    def body(self, *, serial: str, taken_at: str) -> dict[str, Any]:
        """The counts as the record reads them."""
        given = self.cleaned_data
        body: dict[str, Any] = {"serial": serial, "purpose": given["purpose"], "taken_at": taken_at}
        for name in ("density_counts", "moisture_counts"):
            if parts := _parts(given[name]):
                body[name] = [
                    int(part) if part.isascii() and part.isdigit() and len(part) < 8 else part for part in parts
                ]
        return body | {name: given[name] for name in ("person", "replaces", "remarks") if given[name]}
