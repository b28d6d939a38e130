"""Lists as CSV files that a spreadsheet opens without running anything."""

import csv
from collections.abc import Iterable, Sequence
from decimal import Decimal
from io import StringIO
from typing import Any

from django.http import HttpResponse

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def cell(value: Any) -> str:
    """A cell: figures as they are, text with an apostrophe in front where a spreadsheet would take it for a formula."""
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, int):
        return str(value)
    text = str(value)
    return f"'{text}" if text.lstrip(" ").startswith(_STARTS_A_FORMULA) else text


def csv_response(*, name: str, header: Sequence[str], rows: Iterable[Sequence[Any]]) -> HttpResponse:
    """A download in UTF-8 with a byte order mark, so that spreadsheets read "m³" rightly."""
    text = StringIO()
    writer = csv.writer(text)
    writer.writerow(header)
    for row in rows:
        writer.writerow([cell(value) for value in row])
    response = HttpResponse("\ufeff" + text.getvalue(), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return response
