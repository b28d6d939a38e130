"""Tables as people type or paste them: points of intersection, equations, profiles, one row a line.

442160 48770 R 1200 in 200 out 150      easting, northing, radius, spirals before and behind
443140 48620 D 4.5 arc                  degree of curve with its definition
12+00 = 15+00                           back = ahead, `decreasing` behind it where numbering turns
27+1001.8 = km 28                       the end of a kilometre that is not 1000 m long
2400 487.80 L 400                       station, elevation, curve length (or L1, L2, or R)
"""

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from projects.geometry.plain_content import plain_decimal

_NUMBER = re.compile(r"-?(?:[0-9]+\.?[0-9]*|\.[0-9]+)", re.ASCII)
_PI_WORDS = {"R": "radius", "D": "degree_deg", "IN": "spiral_in_length", "OUT": "spiral_out_length"}
_PVI_WORDS = {"L": "curve_length", "L1": "length_before", "L2": "length_after", "R": "radius"}
MOST_LINES = 500


class TableTextError(ValueError):
    """A line of a table cannot be read; the sentence names the line."""


def lines_of(text: str) -> Iterator[tuple[int, str]]:
    """The lines that hold something, with their numbers. Raises `TableTextError` for too many."""
    lines = text.splitlines()
    if len(lines) > MOST_LINES:
        raise TableTextError(f"A table has at most {MOST_LINES} lines; this one has {len(lines)}.")
    for number, line in enumerate(lines, start=1):
        if line.strip():
            yield number, line.strip()


def number_of(text: str, number: int, line: str) -> str:
    """A plain number without idle zeros in front; `number` and `line` say where it stands. Raises `TableTextError`."""
    bare = text.replace("\u2212", "-")
    if _NUMBER.fullmatch(bare) is None or len(bare) > 20:
        comma = " Write decimals with a point, and nothing between thousands." if "," in bare else ""
        raise TableTextError(f"Line {number}, “{line[:60]}”: “{text[:20]}” is not a number.{comma}")
    sign, bare = ("-", bare[1:]) if bare.startswith("-") else ("", bare)
    whole, _, fraction = bare.partition(".")
    whole = whole.lstrip("0") or "0"
    return f"{sign}{whole}{'.' + fraction if fraction else ''}"


def station_number(text: str) -> str:
    """10+00 and 1000 both as 1000; the plus is only a separator, so it needs two or three figures behind it.

    >>> station_number("12+34.56")
    '1234.56'
    """
    match = re.fullmatch(r"(-?[0-9]{1,6})\+([0-9]{2,3}(?:\.[0-9]{1,6})?)", text.strip(), re.ASCII)
    bare = match[1] + match[2] if match else text.strip()
    if _NUMBER.fullmatch(bare) is None:
        raise TableTextError(f"“{text[:30]}” is not a station. Write it as 1000 or 10+00.")
    return number_of(bare, 1, text)


def _attached(word: str) -> tuple[str, str] | None:
    """R1200 and L1=50 as a word and its figure."""
    name, equals, figure = word.partition("=")
    if equals and figure:
        return name, figure
    match = re.fullmatch(r"([A-Za-z]+)([0-9.].*)", word, re.ASCII)
    return None if match is None else (match[1], match[2])


def _words(parts: list[str], known: dict[str, str], number: int, line: str) -> dict[str, str]:
    row: dict[str, str] = {}
    waiting = list(parts)
    while waiting:
        word = waiting.pop(0)
        attached = None if word.upper() in known else _attached(word)
        if attached is not None:
            word, waiting = attached[0], [attached[1], *waiting]
        name = known.get(word.rstrip("=").upper())
        if name is None or not waiting:
            raise TableTextError(
                f"Line {number}, “{line[:60]}”: “{word[:20]}” is not known here or has no figure behind it. "
                f"Known: {', '.join(known)}."
            )
        if name in row:
            raise TableTextError(f"Line {number}, “{line[:60]}”: {word.upper()} stands there twice.")
        row[name] = number_of(waiting.pop(0), number, line)
    return row


def pi_rows(text: str) -> list[dict[str, Any]]:
    """Rows of a PI table for `PiTable.from_plain`. Raises `TableTextError`."""
    rows: list[dict[str, Any]] = []
    for number, line in lines_of(text):
        parts = re.split(r"[\s;]+|,\s+", line)
        if len(parts) < 2:
            raise TableTextError(f"Line {number}, “{line[:60]}”: easting and northing are needed.")
        row: dict[str, Any] = {"point": [number_of(part, number, line) for part in parts[:2]]}
        rest = [part for part in parts[2:] if part]
        definitions = [part.casefold() for part in rest if part.casefold() in ("arc", "chord")]
        rest = [part for part in rest if part.casefold() not in ("arc", "chord")]
        row |= _words(rest, _PI_WORDS, number, line)
        if "degree_deg" in row and len(definitions) != 1:
            raise TableTextError(
                f"Line {number}, “{line[:60]}”: is the degree of curve by the arc or by the chord definition? Write "
                "arc or chord behind it."
            )
        if definitions:
            row["degree_definition"] = definitions[0]
        rows.append(row)
    return rows


_KILOMETRE = re.compile(
    r"(?:K|KM)?\s*(?P<whole>[0-9]{1,4})\+(?P<metres>[0-9]{3,4}(?:\.[0-9]{1,6})?)\s*=\s*KM\s*(?P<next>[0-9]{1,4})(?:\+0+)?",
    re.IGNORECASE | re.ASCII,
)


def equation_rows(text: str) -> list[dict[str, Any]]:
    """Equations, `back = ahead`, and kilometre posts, `27+1001.8 = km 28`, in order. Raises `TableTextError`."""
    rows: list[dict[str, Any]] = []
    for number, line in lines_of(text):
        post = _KILOMETRE.fullmatch(line)
        if post is not None:
            rows.append(_post(post, number, line, numbered=bool(rows and "kilometre" in rows[-1])))
            continue
        match = re.fullmatch(
            r"(?P<back>[-0-9+.]+)\s*(?:BK)?\s*=\s*(?P<ahead>[-0-9+.]+)\s*(?:AHD?)?\s*(?P<way>decreasing|increasing)?",
            line,
            re.IGNORECASE,
        )
        if match is None:
            raise TableTextError(f"Line {number}, “{line[:60]}”: write back = ahead, such as 12+00 = 15+00.")
        way = (match["way"] or "increasing").casefold()
        rows.append({"back": station_number(match["back"]), "ahead": station_number(match["ahead"]), "direction": way})
    return rows


def _post(post: re.Match[str], number: int, line: str, *, numbered: bool) -> dict[str, Any]:
    """Where a kilometre ends and the next begins; behind a post the back station is the distance from it."""
    whole, following = int(post["whole"]), int(post["next"])
    if following != whole + 1:
        raise TableTextError(f"Line {number}, “{line[:60]}”: behind kilometre {whole} comes {whole + 1}.")
    metres = Decimal(post["metres"])
    back = metres if numbered else whole * 1000 + metres
    return {"back": plain_decimal(back), "ahead": "0", "direction": "increasing", "kilometre": following}


def profile_rows(text: str) -> list[dict[str, Any]]:
    """Profile points. Raises `TableTextError`."""
    rows = []
    for number, line in lines_of(text):
        parts = [part for part in re.split(r"[\s;]+|,\s+", line) if part]
        if len(parts) < 2:
            raise TableTextError(f"Line {number}, “{line[:60]}”: station and elevation are needed.")
        row = {"station": station_number(parts[0]), "elevation": number_of(parts[1], number, line)}
        rows.append(row | _words(parts[2:], _PVI_WORDS, number, line))
    return rows
