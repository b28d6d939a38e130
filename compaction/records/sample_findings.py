"""What a sample's figures say against each other, and where a classification does not reach."""

from collections.abc import Callable, Iterable
from typing import TypeVar

from compaction.calculations.classification import Classification
from compaction.calculations.errors import CalculationError
from compaction.calculations.plasticity import Limits, a_line_pct, u_line_pct
from compaction.facts import Finding

Result = TypeVar("Result")


def or_finding(work: Callable[[], Result], findings: list[Finding]) -> Result | None:
    """What `work` gives, or None with its error as a finding."""
    try:
        return work()
    except CalculationError as error:
        findings.append(Finding(error.code, "information", f"Not classified: {error.sentence}"))
        return None


def limit_findings(limits: Limits) -> list[Finding]:
    """Limits above the U-line are doubtful: "limits-above-u-line". Source: ASTM D2487 figure 4 (from memory)."""
    liquid, plasticity = limits.liquid_limit_pct, limits.plasticity_index_pct
    if liquid is None or plasticity is None or plasticity <= u_line_pct(liquid):
        return []
    sentence = (
        f"A plasticity index of {plasticity} % at a liquid limit of {liquid} % lies above the U-line of "
        f"{u_line_pct(liquid):.1f} % (A-line {a_line_pct(liquid):.1f} %); such limits are rare. Test them again."
    )
    return [Finding("limits-above-u-line", "validity", sentence)]


def reported_findings(symbol: str, name: str, found: Classification | None) -> list[Finding]:
    """A symbol or name as reported that does not follow from the figures: "reported-symbol-differs",
    "reported-name-differs".
    """
    if found is None:
        return []
    computed = f"{found.group_symbol}, {found.group_name}"
    differing = [
        ("symbol", symbol, found.group_symbol, symbol.strip().upper() != found.group_symbol),
        ("name", name, found.group_name, " ".join(name.split()).casefold() != found.group_name),
    ]
    return [
        Finding(
            f"reported-{what}-differs",
            "validity",
            f"The laboratory reports {written}; gradation and limits give {computed} (ASTM D2487). Check both.",
            {"computed": own},
        )
        for what, written, own, differs in differing
        if written.strip() and differs
    ]


def once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Each code once, in order: fractions and classification lack the same sieve."""
    kept: dict[str, Finding] = {}
    for one in findings:
        kept.setdefault(one.code, one)
    return tuple(kept.values())
