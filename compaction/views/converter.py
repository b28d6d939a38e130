"""The converter: station and offset, easting and northing, latitude and longitude, each from any other."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from compaction.forms.converter import ConverterForm
from compaction.queries import conversion, set_up
from compaction.queries.alignments import station_format
from compaction.queries.conversion import Conversion
from compaction.views.csv_file import csv_response
from projects.access import Open
from projects.geometry.conversion_rows import Converted, in_unit
from projects.geometry.conversion_text import rows_of_text
from projects.geometry.linear_units import linear_unit
from projects.views.opening import project_page, show

SHOWN = 200
WORDS = {"placed": "placed", "question": "question", "no_station": "no station here", "refused": "not placed"}


@require_http_methods(["GET", "HEAD", "POST"])
@project_page()
def converter(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The form with the answer under it; the button for a file sends the same list and gets it as CSV."""
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    lines = under.alignments_at(now)
    names = {code: entries[-1].name for code, entries in under.alignments.items()}
    choices = [(code, f"{code} · {names[code]}") for code in lines]
    unit = conversion.coordinate_unit(opened, now=now)
    form = ConverterForm(request.POST or None, alignments=choices, initial={"unit": unit.code})
    found: Conversion | None = None
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        asked = rows_of_text(
            given["places"], kind=given["kind"], unit=linear_unit(given["unit"]), alignment=given["alignment"]
        )
        found = conversion.converted(opened, asked, now=now)
        if "csv" in request.POST:
            return _csv(opened, found)
    return show(
        request,
        opened,
        "compaction/converter.html",
        status=422 if form.errors else None,
        form=form,
        found=found,
        rows=[] if found is None else [_row(one, found) for one in found.rows[:SHOWN]],
        left_out=0 if found is None else max(0, len(found.rows) - SHOWN),
        counts=[] if found is None else [(words, found.count(state)) for state, words in WORDS.items()],
        grid=conversion.grid_of(opened.project.epsg_code),
        unit=unit,
        reaches=[(code, line.stationing.text(line.stationing.start, station_format(opened)),
                  line.stationing.text(line.stationing.end, station_format(opened)), line.unit.name,
                  len(line.equations)) for code, line in lines.items()],
    )  # fmt: skip


def _row(one: Converted, found: Conversion) -> dict[str, Any]:
    return {
        "one": one,
        "words": WORDS[one.state],
        "easting": _figure(in_unit(one.easting_m, found.coordinate_unit), "0.001"),
        "northing": _figure(in_unit(one.northing_m, found.coordinate_unit), "0.001"),
        "latitude": _figure(one.latitude, "0.00000001"),
        "longitude": _figure(one.longitude, "0.00000001"),
    }


def _figure(value: Decimal | None, step: str) -> str:
    return "" if value is None else format(value.quantize(Decimal(step)), "f").replace("-", "\u2212")


def _csv(opened: Open, found: Conversion) -> HttpResponse:
    unit = found.coordinate_unit.code
    header = (
        "row", "label", "state", "alignment", "station", "offset", "station_internal", "offset_right_positive", "unit",
        f"easting_{unit}", f"northing_{unit}", "latitude_wgs84", "longitude_wgs84", "remark",
    )  # fmt: skip
    rows = [
        (
            one.number, one.label, WORDS[one.state], one.alignment, one.station_text, one.offset_text, one.station,
            one.offset, one.unit, in_unit(one.easting_m, found.coordinate_unit),
            in_unit(one.northing_m, found.coordinate_unit), one.latitude, one.longitude, one.sentence,
        )
        for one in found.rows
    ]  # fmt: skip
    return csv_response(name=f"{opened.project.code}-positions", header=header, rows=rows)
