"""Reading stations and offsets as people write them. An ambiguous text gets a question, never a guess."""

import re
from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from projects.geometry.linear_units import LinearUnit
from projects.geometry.place_text import AmbiguousText, NotUnderstood, letters_to_digits, tidy

_LEAD = re.compile(r"^(?:STATION|STA|ST'?N|CH(?:AINAGE)?)\b[.:]?\s*", re.IGNORECASE)
_ABOUT = re.compile(r"^(?:~|\u00b1|ABOUT\b|APPROX\b\.?)\s*|\s*(?:\u00b1|\+/-)$", re.IGNORECASE)
_PLUS = re.compile(
    r"(?P<sign>-?)\s*(?P<whole>[0-9]{1,4})\s*\+\s*(?P<rest>[0-9]{0,6}(?:\.[0-9]{0,6}|,[0-9]{1,6})?)(?![0-9.]|,[0-9])"
)
_RANGE = re.compile(r"[0-9]\s*\+\s*[0-9][0-9.]*\s*(?:TO|THRU|-|\u2192)\s*-?[0-9]+\s*\+", re.IGNORECASE)
_PLAIN = re.compile(r"-?[0-9]*(?:\.[0-9]*)?$")
_ZONE_BEHIND = re.compile(
    r"^(?:(?P<side>BK|BACK|AH|AHD|AHEAD)\b|\(\s*(?P<number>[1-9])\s*\)|R(?P<region>[1-9])(?![0-9.']))\.?\s*",
    re.IGNORECASE,
)
_AHEAD_LETTER = re.compile(r'^"?A"?$', re.IGNORECASE)


@dataclass(frozen=True)
class StationText:
    """A station as read, in the alignment's unit.

    `value` is the printed station; `whole` and `rest` what stood before and behind the plus (None for a
    plain distance). `zone` is empty, `back`, `ahead` or a zone number; `alignment` a name written in
    front; `offset_text` an offset written behind; `approximate` if marked so.
    """

    value: Decimal
    whole: int | None = None
    rest: Decimal | None = None
    zone: str = ""
    alignment: str = ""
    offset_text: str = ""
    approximate: bool = False


def parse_station(
    text: str,
    *,
    digits_after_plus: int,
    alignments: Collection[str] = (),
    unequal_kilometres: bool = False,
) -> StationText:
    """Read a station such as 12+34.56, STA. 12 + 34.56, K12+345, 12+34 AH, Ramp B 5+00, 1234.56.

    `digits_after_plus` is the project's style (2 for 12+34, 3 for 1+234). `alignments` are the names in
    use, so that a letter in front can be told from the mark of a zone. Raises `AmbiguousText` with a
    question, or `NotUnderstood`.
    """
    cleaned = letters_to_digits(tidy(text))
    about = _ABOUT.search(cleaned)
    cleaned = _LEAD.sub("", _ABOUT.sub("", cleaned))
    if _RANGE.search(cleaned):
        raise AmbiguousText(f"“{cleaned}” is a stretch from one station to another. Which single station is meant?")
    if re.match(r"^[A-Za-z]+\s*\+", cleaned):
        raise AmbiguousText(f"“{cleaned}” is measured from a feature, not a station. At which station is it?")
    match = _PLUS.search(cleaned)
    if match is None:
        return _plain_distance(cleaned, digits_after_plus, alignments, about is not None)
    lead = cleaned[: match.start()].strip()
    if lead.upper() in ("K", "KM"):
        lead = ""
    if match["sign"] and lead:
        raise AmbiguousText(f"In “{cleaned}”, is the dash a minus or part of the name? Name the line in its own field.")
    zone, alignment = _lead(lead, alignments)
    tail = cleaned[match.end() :]
    if re.fullmatch(r"\s+R\s?[1-9]", tail, re.IGNORECASE):
        raise AmbiguousText(f"In “{cleaned}”, is “{tail.strip()}” an offset to the right or the zone of an equation?")
    zone_behind, offset_text = _behind(tail.strip())
    if zone and zone_behind and zone != zone_behind:
        raise AmbiguousText(f"“{cleaned}” names two zones of an equation. Which one is meant?")
    whole = int(match["whole"])
    rest = _rest(match["rest"], whole, digits_after_plus, unequal_kilometres, cleaned)
    value = whole * Decimal(10) ** digits_after_plus + rest
    if match["sign"]:
        value = -value
    return StationText(value, whole, rest, zone_behind or zone, alignment, offset_text, about is not None)


def _rest(rest: str, whole: int, digits: int, unequal_kilometres: bool, shown: str) -> Decimal:
    """What stands behind the plus, if its number of digits fits the project's style."""
    if "," in rest:
        raise AmbiguousText(f"In “{shown}”, is the comma a decimal point? Write it with a point.")
    before_point = rest.split(".")[0]
    if not before_point and rest not in ("", "."):
        padded = f"{whole}+{'0' * digits}{rest}"
        raise AmbiguousText(f"“{shown}” has no figures between the plus and the point. Is {padded} meant?")
    if not before_point:
        raise NotUnderstood(f"“{shown}” stops at the plus. Give the figures behind it, such as {whole}+{'0' * digits}.")
    value = Decimal(rest.rstrip("."))
    if len(before_point) == digits:
        return value
    if unequal_kilometres and digits == 3 and len(before_point) == 4 and before_point.startswith("1"):
        return value  # a kilometre longer than 1000 m, as in 27+1000.2
    if len(before_point) < digits:
        fraction = rest[len(before_point) :].rstrip(".")
        low = f"{whole}+{before_point.zfill(digits)}{fraction}"
        high = f"{whole}+{before_point.ljust(digits, '0')}{fraction}"
        raise AmbiguousText(f"“{shown}”: is {low} or {high} meant?")
    other = "thousand" if digits == 2 else "hundred"
    raise AmbiguousText(
        f"“{shown}” has {len(before_point)} figures behind the plus, this project writes {digits}. "
        f"Is it a station by the {other}, or is a figure too many?"
    )


def _plain_distance(text: str, digits: int, alignments: Collection[str], about: bool) -> StationText:
    name, _, number = text.rpartition(" ")
    alignment = ""
    if name and any(character.isalpha() for character in name) and re.fullmatch(r"[0-9]{4,}(\.[0-9]{1,3})?", number):
        alignment, text = name, number
    if not _PLAIN.fullmatch(text) or not any(character.isdigit() for character in text):
        if text in alignments or re.fullmatch(r"[A-Za-z][A-Za-z0-9 .-]*", text):
            raise AmbiguousText(f"“{text}” names a line but no station on it. Which station?")
        raise NotUnderstood(
            f"“{text}” is not a station. Write it as {'12+34.56' if digits == 2 else '1+234.56'}, or as a distance."
        )
    whole, _, fraction = text.lstrip("-").partition(".")
    if Decimal(text.rstrip(".") or "0") == 0 and whole:
        return StationText(Decimal(0), alignment=alignment, approximate=about)
    if len(whole) < 4 or len(fraction) > 3:
        block = f"{whole or '0'}+{'0' * digits}"
        raise AmbiguousText(
            f"“{text}”: is that a distance from the start of stationing, or decimal stations near {block}? "
            "Write it with a plus."
        )
    return StationText(Decimal(text.rstrip(".")), alignment=alignment, approximate=about)


def _lead(lead: str, alignments: Collection[str]) -> tuple[str, str]:
    """Zone and alignment from what stands in front of the station."""
    lead = _LEAD.sub("", lead + " ").strip(" ,:;")
    if not lead:
        return "", ""
    known = {name.casefold(): name for name in alignments}
    bare = lead.strip('"').casefold()
    if _AHEAD_LETTER.match(lead):
        if bare in known and '"' not in lead:
            raise AmbiguousText(
                f"Is “{lead}” the line {known[bare]}, or the mark of a station ahead of an equation? "
                "Name the line in its own field."
            )
        return "ahead", ""
    if not re.fullmatch(r'"?[A-Za-z0-9][A-Za-z0-9 ._/#-]*"?', lead):
        raise NotUnderstood(f"“{lead}” in front of the station is not understood. Write the station alone.")
    return "", known.get(bare, lead.strip('"'))


def _behind(tail: str) -> tuple[str, str]:
    """Zone mark and offset from what stands behind the station."""
    zone = ""
    match = _ZONE_BEHIND.match(tail)
    if match:
        side = (match["side"] or "").upper()
        zone = match["number"] or match["region"] or ("back" if side.startswith("B") else "ahead")
        tail = tail[match.end() :]
    return zone, tail.strip(" ,;:")


_SIDE = r"(?P<{0}>LT|LEFT|LHS|L|RT|RIGHT|RHS|R)(?![A-Za-z])\.?"
_NUMBER = r"(?P<sign>[+-]?)\s*(?P<number>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_UNIT = r"\s*(?P<unit>'|FT\b\.?|FEET\b|FOOT\b|METRES?\b|METERS?\b|M\b\.?)?"
_INCHES = r"(?:\s*-?\s*(?P<inches>[0-9]{1,2}(?:\.[0-9]+)?)\s*(?:\"|''|IN\b\.?))?"
_FROM_LINE = re.compile(r"\s*\b(?:OF|OFF|FROM)\s+(?:THE\s+)?(?:CL|C/L|C\.L\.|CENTRE ?LINE|CENTER ?LINE|LINE)\s*$", re.I)
_ON_LINE = re.compile(
    r"(?:ON\s+)?(?:THE\s+)?(?:CL|C/L|C\.L\.|\u2104|CENTRE ?LINE|CENTER ?LINE|LINE)|[+-]?0+(?:\.0*)?\s*(?:'|FT|M)?", re.I
)
_OFFSET = re.compile(rf"(?:{_SIDE.format('before')}\s*)?{_NUMBER}{_UNIT}{_INCHES}(?:\s*{_SIDE.format('after')})?", re.I)


def parse_offset(text: str, unit: LinearUnit) -> Decimal:
    """An offset in metres, right positive: 15 L, 15' LT, L15, .5 R, -15 (left), CL, on line, 0.

    A bare number other than zero has no side and gets a question. A sign counts as the side: minus is
    left, the convention of this service. Without a unit the alignment's own is meant; feet on an
    alignment in US survey feet are survey feet. Raises `AmbiguousText` or `NotUnderstood`.
    """
    cleaned = _FROM_LINE.sub("", tidy(text))
    if _ON_LINE.fullmatch(cleaned):
        return Decimal(0)
    if re.search(r"(?<![A-Za-z])l[0-9OoIl|.]|[0-9OoIl|.]l(?![A-Za-z])", cleaned):
        raise AmbiguousText(f"In “{cleaned}”, is the small l a figure 1 or the left side? Write 1, or a capital L.")
    repaired = re.sub(r"(?<=[0-9.])[Oo]|(?<![A-Za-z])[Oo](?=[0-9.])", "0", cleaned)
    match = _OFFSET.fullmatch(repaired)
    if match is None:
        if re.search(r"[0-9]", cleaned) and re.search(r"[A-Za-z]{3}", cleaned):
            raise AmbiguousText(
                f"“{cleaned}” seems to be measured from a feature. How far is it from the line, and on which side?"
            )
        raise NotUnderstood(f"“{cleaned}” is not an offset. Write the distance and the side, such as 15 L, or CL.")
    sides = {side[0].upper() for side in (match["before"], match["after"]) if side}
    if match["sign"]:
        sides.add("L" if match["sign"] == "-" else "R")
    distance = _in_metres(match, unit)
    if distance == 0:
        return distance
    if not sides:
        raise AmbiguousText(f"Is {cleaned} left or right of the line?")
    if len(sides) > 1:
        raise AmbiguousText(f"“{cleaned}” says both left and right. Which side is it? Minus means left.")
    return -distance if sides == {"L"} else distance


def _in_metres(match: re.Match[str], unit: LinearUnit) -> Decimal:
    written = (match["unit"] or "").upper()
    number = Decimal(match["number"])
    metric = written.startswith("M")
    feet = unit.metres if unit.code != "m" else Decimal("0.3048")
    inches = match["inches"]
    if inches is not None:
        if metric or not written or Decimal(inches) >= 12:
            raise AmbiguousText(f"“{match.group(0)}”: how many feet and inches are meant?")
        return (number + Decimal(inches) / 12) * feet
    if metric:
        return number
    return number * (feet if written else unit.metres)
