"""The squares of the matrix as markup. There are thousands: a template would be ten times slower.

Only numbers and words of closed lists go in unescaped; area names are escaped.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote, urlencode

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from compaction.coverage import matrix
from compaction.coverage.matrix import Columns, Row, Square

#: class of a square in the style sheet
CLASSES: Final = {
    matrix.BURIED: "b", matrix.FAILING: "f", matrix.UNTESTED: "u", matrix.UNKNOWN: "q", matrix.TESTED: "t",
    matrix.EXEMPT: "x", matrix.EMPTY: "e",
}  # fmt: skip


@dataclass(frozen=True)
class Head:
    """The head of a column: the station at which it begins."""

    text: str


def legend(rows: Iterable[Row]) -> list[dict[str, object]]:
    """What every look of a square means, and how many there are."""
    counts = Counter(square.state for row in rows for square in row.squares)
    return [
        {"class": CLASSES[state], "words": words, "count": counts[state]}
        for state, words in matrix.WORDS.items()
        if state != matrix.EMPTY
    ]


def markup(rows: Sequence[Row], heads: Sequence[Head], *, over: Columns, lift_word: str) -> SafeString:
    """Head and body of the table; addresses are relative to the page."""
    places = [
        urlencode({"at": f"{over.alignment},{start:.1f},{end:.1f}"}, safe=",")
        for start, end in zip(over.edges, over.edges[1:], strict=False)
    ]
    columns = "".join(f'<th scope="col"><span>{escape(head.text)}</span></th>' for head in heads)
    body = "".join(_row(row, places) for row in rows)
    # Every piece was escaped above, or comes from a closed list.
    return mark_safe(
        f'<thead><tr><th scope="col" class="lift">{escape(lift_word.capitalize())}, area</th>{columns}</tr></thead>'
        f"<tbody>{body}</tbody>"
    )


def _row(row: Row, places: Sequence[str]) -> str:
    group = row.group
    address = f"lifts/{quote(group.area, safe='/')}/{group.lift}"
    required = "?" if group.required is None else group.required
    said = (
        f'<th scope="row" class="lift"><a href="{address}"><b>{group.lift}</b> {escape(group.area)}</a>'
        f'<span class="s {group.state}">{group.state} {group.passing}/{required}</span></th>'
    )
    squares = "".join(_square(square, group.lift, places[number]) for number, square in enumerate(row.squares))
    return f"<tr>{said}{squares}</tr>"


def _square(square: Square, lift: int, place: str) -> str:
    if square.state == matrix.EMPTY:
        return "<td></td>"
    words = matrix.WORDS[square.state]
    counts = f"{square.failing} of {square.made} fail" if square.failing else ""
    hidden = f"<i> {words}{', ' + counts if counts else ''}</i>"
    return (
        f'<td class="{CLASSES[square.state]}"><a href="map?lift={lift}&amp;{place}">{square.figures}{hidden}</a></td>'
    )
