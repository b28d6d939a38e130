"""Figures as printed on a sheet against the same figures worked from its readings: agree, differ, and why.

A printed figure is never believed and never thrown away. Where it differs, the slips that the trade knows are tried
one by one; the first that gives the printed digits is named. A named slip is an explanation, not an accusation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from compaction.calculations.errors import ReadingError
from compaction.calculations.quantities import SI_UNITS, UNITS, from_si, parse_number, parse_quantity, quantise
from compaction.facts import Finding

#: A slip whose figure comes this close without giving the printed digits is offered as "close to" (one percent).
_CLOSE = Decimal("0.01")
_POWERS = (3, -3, 6, -6, 1, -1, 2, -2, 4, -4, 5, -5)


@dataclass(frozen=True)
class PrintedFigure:
    """A figure as written on a sheet: its name, the text, the number and its unit (empty for a ratio)."""

    name: str
    text: str
    number: Decimal
    unit: str

    @property
    def step(self) -> Decimal:
        """One unit of the last digit written."""
        exponent = self.number.as_tuple().exponent
        assert isinstance(exponent, int)
        return Decimal(1).scaleb(exponent)

    @property
    def value_si(self) -> Decimal:
        """The figure in the unit used inside."""
        return parse_quantity(f"{self.number:f} {self.unit}", _kind(self.unit)) if self.unit else self.number


@dataclass(frozen=True)
class Explanation:
    """What the figure would be after a known slip: the finding's code, the figure (SI) and a sentence."""

    code: str
    value_si: Decimal
    sentence: str


def _kind(unit: str) -> str:
    for kind, units in UNITS.items():
        if unit in units:
            return kind
    raise ReadingError("", "unit-unknown", f"{unit[:20]!a} is not a unit known here.")


def printed_figure(name: str, text: str) -> PrintedFigure:
    """A printed figure from its text, "112.5 pcf" or "1.65"; the digits written say how far it was rounded.

    Raises `ReadingError`. Source: common practice (no source).

    >>> printed_figure("dry_density", "112.50 pcf").step
    Decimal('0.01')
    """
    number, blank, unit = text.partition(" ")
    parse_number(number, f"/{name}")
    if blank:
        parse_quantity(text, _kind(unit), f"/{name}")
    return PrintedFigure(name=name, text=text, number=Decimal(number), unit=unit)


def agrees(printed: PrintedFigure, value_si: Decimal) -> bool:
    """Whether a worked figure (SI) rounds to the printed one; a tie may go either way.

    Source: ASTM E29 section 6, the rounding method (from memory).

    >>> agrees(printed_figure("dry_density", "112.6 pcf"), UNITS["density"]["pcf"] * Decimal("112.568"))
    True
    """
    return abs(_in_unit(printed, value_si) - printed.number) <= printed.step / 2


def truncates(printed: PrintedFigure, value_si: Decimal) -> bool:
    """Whether the printed figure is the worked one with its further digits cut off, and not rounded.

    Source: practice of Louisiana DOTD, rounding rules of 2018, truncates intermediate figures.

    >>> truncates(printed_figure("dry_density", "112.5 pcf"), UNITS["density"]["pcf"] * Decimal("112.568"))
    True
    """
    cut = _in_unit(printed, value_si).quantize(printed.step, rounding=ROUND_DOWN)
    return not agrees(printed, value_si) and cut == printed.number


def _in_unit(printed: PrintedFigure, value_si: Decimal) -> Decimal:
    return quantise(from_si(value_si, printed.unit) if printed.unit else value_si)


def check_figure(
    printed: PrintedFigure, worked_si: Decimal | None, explanations: Sequence[Explanation] = ()
) -> tuple[Finding, ...]:
    """Findings on one printed figure: none if it agrees; "printed-figure-truncated" if digits were cut off; otherwise
    "printed-figure-differs" and, where a slip accounts for it, that slip's finding.

    `worked_si` is None where the readings do not give the figure ("printed-figure-without-readings"). Raises
    nothing: what is wrong with a print is a finding. Source: common practice (no source).

    >>> dry = printed_figure("dry_density", "1.56 g/cm3")
    >>> slip = Explanation("water-content-wet-basis-used-as-dry", Decimal("1560.3"), "wet basis")
    >>> [finding.code for finding in check_figure(dry, Decimal("1574.5"), [slip])]
    ['printed-figure-differs', 'water-content-wet-basis-used-as-dry']
    """
    if worked_si is None:
        missing = _finding(
            "printed-figure-without-readings",
            printed,
            None,
            f"The {_words(printed)} of {printed.text} cannot be worked from the readings on the sheet.",
        )
        return (missing, *_explained(printed, None, explanations))
    if agrees(printed, worked_si):
        return ()
    worked_text = _text(printed, worked_si)
    if truncates(printed, worked_si):
        return (
            _finding(
                "printed-figure-truncated",
                printed,
                worked_si,
                f"The {_words(printed)} is printed as {printed.text}; the readings give {worked_text}, which rounds "
                "up. The further digits were cut off, or an unrounded figure stood behind it.",
                severity="information",
            ),
        )
    differs = _finding(
        "printed-figure-differs",
        printed,
        worked_si,
        f"The {_words(printed)} is printed as {printed.text}; the readings give {worked_text}. "
        "The worked figure is used; the printed one is kept beside it.",
    )
    return (differs, *_explained(printed, worked_si, explanations))


def _explained(
    printed: PrintedFigure, worked_si: Decimal | None, explanations: Sequence[Explanation]
) -> tuple[Finding, ...]:
    """The first slip that gives the printed digits; then with the point moved; then one that comes close."""
    for explanation in explanations:
        if agrees(printed, explanation.value_si):
            return (_slip(printed, worked_si, explanation, "is what comes out"),)
    candidates = list(explanations)
    if worked_si is not None:
        candidates.insert(0, Explanation("", worked_si, ""))
    for explanation in candidates:
        for power in _POWERS:
            if explanation.value_si != 0 and agrees(printed, explanation.value_si.scaleb(power)):
                moved = _finding(
                    "off-by-power-of-ten",
                    printed,
                    worked_si,
                    f"The {_words(printed)} of {printed.text} is 10^{power} times what comes out: a wrong unit or a "
                    "wrong decimal point.",
                )
                if not explanation.code:
                    return (moved,)
                return (moved, _slip(printed, worked_si, explanation, "has the digits that come out"))
    for explanation in explanations:
        if abs(_in_unit(printed, explanation.value_si) - printed.number) <= _CLOSE * abs(printed.number):
            return (_slip(printed, worked_si, explanation, "is close to what comes out"),)
    return ()


def _slip(printed: PrintedFigure, worked_si: Decimal | None, explanation: Explanation, how: str) -> Finding:
    return _finding(
        explanation.code,
        printed,
        worked_si,
        f"The {_words(printed)} of {printed.text} {how} {explanation.sentence}.",
    )


def _words(printed: PrintedFigure) -> str:
    return printed.name.replace("_", " ")


def _text(printed: PrintedFigure, value_si: Decimal) -> str:
    """A worked figure in the printed unit, with two digits more than the print, so that the difference shows."""
    number = _in_unit(printed, value_si).quantize(max(printed.step / 100, Decimal("1e-9")))
    return f"{number:f} {printed.unit}".strip()


def _finding(
    code: str, printed: PrintedFigure, worked_si: Decimal | None, sentence: str, severity: str = "validity"
) -> Finding:
    numbers = {"figure": printed.name, "printed": printed.text}
    if worked_si is not None:
        numbers["worked"] = _text(printed, worked_si)
        numbers["worked_si"] = (
            f"{quantise(worked_si):f} {SI_UNITS[_kind(printed.unit)] if printed.unit else ''}".strip()
        )
    return Finding(code=code, severity=severity, sentence=sentence, numbers=numbers)
