"""Which mould, layers and blows belong to a method of the inch moulds; the data stand in `laboratory_methods`."""

from dataclasses import dataclass
from typing import Final

from compaction.calculations.laboratory_methods import METHODS, stated_findings
from compaction.calculations.quantities import INCH_M
from compaction.facts import Finding


@dataclass(frozen=True)
class Effort:
    """Mould diameter in inches, layers, blows a layer, and the sieve the specimen must pass."""

    mould_in: int
    layers: int
    blows: int
    sieve: str


#: method code -> effort, of ASTM and AASHTO
EFFORTS: Final[dict[str, Effort]] = {
    code: Effort(int(method.mould.diameter_m / INCH_M), method.layers, method.blows, method.sieve)
    for code, method in METHODS.items()
    if code[0] in "DT"
}


def effort_findings(*, method: str, mould_in: int, layers: int, blows: int) -> tuple[Finding, ...]:
    """Whether mould, layers and blows are those of the method: see `laboratory_methods.stated_findings`.

    `method` as "D1557-A"; mould diameter in inches. Source: ASTM D698 and D1557 table 1, AASHTO T 99 and T 180 (from
    memory).

    >>> [finding.code for finding in effort_findings(method="D1557-A", mould_in=4, layers=5, blows=56)]
    ['blows-do-not-fit-mould']
    """
    return stated_findings(method, mould_diameter_m=mould_in * INCH_M, layers=layers, blows=blows)
