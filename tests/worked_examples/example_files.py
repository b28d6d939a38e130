"""Reading the worked examples: files by topic, figures by text, and the one rule by which a print counts as met."""

import tomllib
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

from compaction.calculations.quantities import UNITS, from_si, parse_number, parse_quantity, quantise

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "worked_examples"


def examples(topic: str) -> list[dict[str, Any]]:
    """The examples of one topic, over all files."""
    found = []
    for path in sorted(FOLDER.glob("*.toml")):
        content = tomllib.loads(path.read_text(encoding="utf-8"))
        if content["topic"] == topic:
            found.extend(content["example"])
    return found


def si(text: str) -> Decimal:
    """A figure of an example in the unit used inside; a ratio has no unit."""
    number, blank, unit = text.partition(" ")
    if not blank:
        return parse_number(number)
    kind = next(kind for kind, units in UNITS.items() if unit in units)
    return parse_quantity(text, kind)


def all_si(figures: Mapping[str, str]) -> dict[str, Decimal]:
    return {name: si(text) for name, text in figures.items()}


def met(text: str, worked_si: Decimal, within: str = "") -> bool:
    """Whether a worked figure rounds to the text (a tie either way), or lies within a stated tolerance of it."""
    if within:
        return abs(worked_si - si(text)) <= si(within)
    number, _, unit = text.partition(" ")
    worked = quantise(from_si(worked_si, unit) if unit else worked_si)
    half = Decimal(1).scaleb(Decimal(number).as_tuple().exponent) / 2
    return abs(worked - Decimal(number)) <= half


def assert_met(text: str, worked_si: Decimal, *, name: str, within: str = "") -> None:
    unit = text.partition(" ")[2]
    worked = quantise(from_si(worked_si, unit) if unit else worked_si)
    assert met(text, worked_si, within), f"{name}: the example states {text}, worked {worked} {unit}"


def codes(findings: Any) -> list[str]:
    return [finding.code for finding in findings]
