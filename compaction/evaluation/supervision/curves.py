"""Points that do not belong to their curve: remarked by the test itself, above a limit, or unlike the others on it.

Model: tests on one curve scatter normally about their own mean. A test is unlike the others where Student's t of it
against them (its own value left out) is rarer than one in `crew_days`, shared by the tests of the day. The limit of
105 % is a question about the curve, not about chance: how many honest tests lie above it is said in the sentence.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist, fmean, stdev
from typing import Final

from scipy.special import stdtr

from compaction.evaluation.supervision.facts import (
    USUAL,
    DayTest,
    SupervisionFinding,
    by_crew,
    names,
    odds,
)

#: Where no specification is in force; common practice (no source): above it people ask whether the reference fits.
LIMIT_PCT: Final = 105.0
ENOUGH_OTHERS: Final = 10
#: Between tests of one fill and day on one curve (common practice: about 3 points, no source).
USUAL_MEAN_PCT, USUAL_SPREAD_PCT = 98.0, 3.0
FAR = "point-far-from-curve"  # the remark that a test carries beside its result


@dataclass(frozen=True)
class Scatter:
    """The earlier tests on a curve: how many, their mean and standard deviation in percent compaction."""

    count: int
    mean: float
    spread: float


def scatter_of(earlier: Sequence[float]) -> Scatter | None:
    """Mean and spread of earlier tests; None where they are too few or all the same."""
    if len(earlier) < ENOUGH_OTHERS or not (spread := stdev(earlier)) > 0:
        return None
    return Scatter(len(earlier), fmean(earlier), spread)


def far_from_curve(
    tests: Sequence[DayTest],
    *,
    others: Mapping[str, Sequence[float]],
    limit_pct: float = LIMIT_PCT,
    crew_days: int = USUAL.crew_days_per_finding,
) -> list[SupervisionFinding]:
    """Points far from their curve. `others`: reference -> percent compaction of earlier tests on it."""
    on_curve = {code: scatter_of(earlier) for code, earlier in others.items()}
    found = []
    for crew, made in by_crew(tests):
        judged = [test for test in made if test.percent_compaction is not None and test.reference]
        above = [test for test in judged if (test.percent_compaction or 0.0) > limit_pct]
        if above:
            share = share_above(on_curve.get(above[0].reference), limit_pct)
            sentence = (
                f"{crew}: {names(above)} {_lie(above)} above {limit_pct:g} %, at most "
                f"{max(test.percent_compaction or 0.0 for test in above):.1f} %. Of honest tests like the others on "
                f"that curve about {_one_in(share)} does. Check the choice of the curve and the material."
            )
            found.append(_finding("above-curve-limit", above, sentence, share))
        marked = [test for test in made if FAR in test.remarks]
        if marked:
            sentence = (
                f"{crew}: {names(marked)} {_lie(marked)} well above the wet side of the curve named on the sheet, "
                "where a soil of that curve cannot be compacted to. Check the choice of curve and the water content."
            )
            found.append(_finding(FAR, marked, sentence))
        for test in judged:
            scatter = on_curve.get(test.reference)
            chance = unlike(test, scatter) * len(judged)
            if scatter is not None and chance * crew_days <= 1.0:
                sentence = (
                    f"{crew}: {names([test])} has {test.percent_compaction:.1f} %, the {scatter.count} tests before on "
                    f"{test.reference} average {scatter.mean:.1f} % with a spread of {scatter.spread:.1f}. By chance "
                    f"that comes {odds(chance)}. Check the curve, the material and the masses."
                )
                found.append(_finding("unlike-others-on-curve", [test], sentence, chance))
    return found


def unlike(test: DayTest, scatter: Scatter | None) -> float:
    """Two-sided chance of a test as far from the others on its curve; 1 where too few are known."""
    if test.percent_compaction is None or scatter is None:
        return 1.0
    t = (test.percent_compaction - scatter.mean) / (scatter.spread * math.sqrt(1.0 + 1.0 / scatter.count))
    return float(2.0 * stdtr(scatter.count - 1, -abs(t)))


def share_above(scatter: Scatter | None, limit_pct: float) -> float:
    """Share of honest tests above the limit, from the others on the curve or from usual figures."""
    usual = NormalDist(USUAL_MEAN_PCT, USUAL_SPREAD_PCT)
    return 1.0 - (usual if scatter is None else NormalDist(scatter.mean, scatter.spread)).cdf(limit_pct)


def _lie(tests: Sequence[DayTest]) -> str:
    return "lies" if len(tests) == 1 else "lie"


def _one_in(share: float) -> str:
    return "one in more than a million" if share < 1e-6 else f"one in {1.0 / share:,.0f}"


def _finding(code: str, tests: Sequence[DayTest], sentence: str, chance: float | None = None) -> SupervisionFinding:
    numbers = {} if chance is None else {"chance": f"{chance:.2g}"}
    return SupervisionFinding("curve", code, tuple(test.uuid for test in tests), sentence, numbers)
