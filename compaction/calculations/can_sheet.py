"""The lines of a sheet of moisture cans, compared with their print: dry mass, water content and means."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from compaction.calculations.moisture import from_masses
from compaction.calculations.quantities import from_si
from compaction.calculations.sheet_check import Explanation, PrintedFigure, agrees, check_figure
from compaction.facts import Finding


@dataclass(frozen=True)
class CanLine:
    """One can (kg) with the figures printed for it; `group` names the specimen over which cans are averaged."""

    wet_and_can_kg: Decimal
    dry_and_can_kg: Decimal
    can_kg: Decimal
    group: str = ""
    printed_dry_soil: PrintedFigure | None = None
    printed_water_content: PrintedFigure | None = None

    @property
    def dry_soil_kg(self) -> Decimal:
        """Dry soil in the can."""
        return self.dry_and_can_kg - self.can_kg

    @property
    def water_kg(self) -> Decimal:
        """Water that was driven off."""
        return self.wet_and_can_kg - self.dry_and_can_kg


def water_contents_pct(lines: Sequence[CanLine]) -> list[Decimal]:
    """Water content of each can, percent. Raises `ImpossibleReading`. Source: ASTM D2216 section 12 (from memory).

    >>> water_contents_pct([CanLine(Decimal("0.04352"), Decimal("0.03986"), Decimal("0.01731"))])[0].quantize(
    ...     Decimal("0.01"))
    Decimal('16.23')
    """
    return [
        from_masses(wet_and_can_kg=line.wet_and_can_kg, dry_and_can_kg=line.dry_and_can_kg, can_kg=line.can_kg)
        for line in lines
    ]


def check_can_sheet(
    lines: Sequence[CanLine], printed_means: Sequence[tuple[str, PrintedFigure]] = ()
) -> tuple[Finding, ...]:
    """Findings on the printed figures of a sheet of cans; `printed_means` names the group of each mean.

    Beside those of `sheet_check.check_figure`: "neighbours-dry-mass-used", "follows-earlier-error" (a figure printed
    above, wrong itself, was used), "one-digit-differs". Raises `ImpossibleReading` for masses that cannot be.
    Source: ASTM D2216 section 12 (from memory).

    >>> from compaction.calculations.sheet_check import printed_figure
    >>> line = CanLine(Decimal("0.1"), Decimal("0.09"), Decimal("0.04"),
    ...     printed_water_content=printed_figure("water_content", "25.0 %"))
    >>> [finding.code for finding in check_can_sheet([line])]
    ['printed-figure-differs']
    """
    worked = water_contents_pct(lines)
    findings: list[Finding] = []
    for number, (line, water_pct) in enumerate(zip(lines, worked, strict=True)):
        if line.printed_dry_soil is not None:
            findings.extend(check_figure(line.printed_dry_soil, line.dry_soil_kg))
            findings.extend(_one_digit(line.printed_dry_soil, line.dry_soil_kg))
        if line.printed_water_content is not None:
            findings.extend(check_figure(line.printed_water_content, water_pct, _slips(lines, number)))
    for group, printed in printed_means:
        members = [number for number, line in enumerate(lines) if line.group == group]
        mean = sum((worked[number] for number in members), Decimal(0)) / len(members)
        as_printed = [
            figure.value_si if (figure := lines[number].printed_water_content) is not None else worked[number]
            for number in members
        ]
        carried = Explanation(
            "follows-earlier-error",
            sum(as_printed, Decimal(0)) / len(members),
            "from the water contents as printed, of which one is wrong itself",
        )
        findings.extend(check_figure(printed, mean, [carried]))
    return tuple(findings)


def _slips(lines: Sequence[CanLine], number: int) -> list[Explanation]:
    line = lines[number]
    slips = []
    printed_dry = line.printed_dry_soil
    if printed_dry is not None and printed_dry.value_si > 0 and not agrees(printed_dry, line.dry_soil_kg):
        slips.append(
            Explanation(
                "follows-earlier-error",
                100 * line.water_kg / printed_dry.value_si,
                f"from the printed dry mass of {printed_dry.text}, which is wrong itself",
            )
        )
    for neighbour in (number - 1, number + 1):
        if 0 <= neighbour < len(lines) and lines[neighbour].dry_soil_kg > 0:
            slips.append(
                Explanation(
                    "neighbours-dry-mass-used",
                    100 * line.water_kg / lines[neighbour].dry_soil_kg,
                    f"with the dry mass of can {neighbour + 1} in place of that of can {number + 1}",
                )
            )
    return slips


def _one_digit(printed: PrintedFigure, worked_si: Decimal) -> list[Finding]:
    """Whether print and worked figure have the same length and differ in one digit: a slip of pen or key."""
    if agrees(printed, worked_si):
        return []
    worked = check_text(printed, worked_si)
    written = f"{printed.number:f}"
    differing = sum(left != right for left, right in zip(written, worked, strict=False))
    if len(written) != len(worked) or differing != 1:
        return []
    return [
        Finding(
            code="one-digit-differs",
            severity="validity",
            sentence=f"The {printed.name.replace('_', ' ')} of {printed.text} differs from {worked} in one digit.",
            numbers={"printed": printed.text, "worked": worked},
        )
    ]


def check_text(printed: PrintedFigure, worked_si: Decimal) -> str:
    """The worked figure with as many decimals as the print. Source: common practice (no source).

    >>> from compaction.calculations.sheet_check import printed_figure
    >>> check_text(printed_figure("dry_soil", "23.6 g"), Decimal("0.0246"))
    '24.6'
    """
    number = from_si(worked_si, printed.unit) if printed.unit else worked_si
    return f"{number.quantize(printed.step):f}"
