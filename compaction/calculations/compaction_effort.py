"""Which mould, layers and blows belong to which laboratory compaction method."""

from dataclasses import dataclass
from typing import Final

from compaction.facts import Finding


@dataclass(frozen=True)
class Effort:
    """Mould diameter in inches, layers, blows a layer, and the sieve the specimen must pass."""

    mould_in: int
    layers: int
    blows: int
    sieve: str


def _family(prefix: str, layers: int, procedures: dict[str, tuple[int, str]]) -> dict[str, Effort]:
    # 25 blows in the 4-in. mould and 56 in the 6-in. one give the same work per volume.
    blows = {4: 25, 6: 56}
    return {
        f"{prefix}-{letter}": Effort(mould, layers, blows[mould], sieve)
        for letter, (mould, sieve) in procedures.items()
    }


_ASTM: Final = {"A": (4, "no4"), "B": (4, "three_eighths"), "C": (6, "three_quarters")}
_AASHTO: Final = {"A": (4, "no4"), "B": (6, "no4"), "C": (4, "three_quarters"), "D": (6, "three_quarters")}
#: method code -> effort. ASTM D698 and D1557 table 1, AASHTO T 99 and T 180 (from memory; the D1557 B line was
#: confirmed on a laboratory's form).
EFFORTS: Final[dict[str, Effort]] = {
    **_family("D698", 3, _ASTM),
    **_family("D1557", 5, _ASTM),
    **_family("T99", 3, _AASHTO),
    **_family("T180", 5, _AASHTO),
}


def effort_findings(*, method: str, mould_in: int, layers: int, blows: int) -> tuple[Finding, ...]:
    """Whether mould, layers and blows are those of the method: "mould-does-not-fit-method",
    "layers-do-not-fit-method", "blows-do-not-fit-mould", or none.

    `method` as "D1557-A"; one that is not in `EFFORTS` gives "method-not-in-table". Mould diameter in inches.
    Source: ASTM D698 and D1557 table 1, AASHTO T 99 and T 180 (from memory).

    >>> [finding.code for finding in effort_findings(method="D1557-A", mould_in=4, layers=5, blows=56)]
    ['blows-do-not-fit-mould']
    """
    effort = EFFORTS.get(method)
    if effort is None:
        return (
            Finding(
                code="method-not-in-table",
                severity="information",
                sentence=f"No mould, layers and blows are on file for {method}; they were not checked.",
            ),
        )
    checks = (
        (
            "mould-does-not-fit-method",
            f"a mould of {mould_in} in.",
            f"{effort.mould_in} in.",
            mould_in,
            effort.mould_in,
        ),
        ("layers-do-not-fit-method", f"{layers} layers", f"{effort.layers}", layers, effort.layers),
        (
            "blows-do-not-fit-mould",
            f"{blows} blows a layer",
            f"{effort.blows} in the {effort.mould_in}-in. mould",
            blows,
            effort.blows,
        ),
    )
    return tuple(
        Finding(
            code=code,
            severity="validity",
            sentence=f"{method} was made with {found_text}; the method asks for {wanted_text}. The maximum belongs to "
            "another effort until this is cleared up.",
            numbers={"found": str(found), "wanted": str(wanted)},
        )
        for code, found_text, wanted_text, found, wanted in checks
        if found != wanted
    )
