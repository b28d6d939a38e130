"""The straight line through points of which both coordinates scatter, for a gauge beside a sand cone.

Ordinary regression takes one side as free of error. A sand cone is not: its own scatter would pull the slope towards
zero and look like a gauge that reads dense soil low.
"""

from collections.abc import Sequence
from decimal import Decimal
from math import sqrt
from typing import Final

from compaction.calculations.errors import OutsideValidity
from compaction.calculations.quantities import quantise

#: A line steeper than this has no direction worth a figure: the reference hardly varies.
_STEEPEST: Final = 1e6


def line(
    points: Sequence[tuple[Decimal, Decimal]], *, variance_ratio: Decimal = Decimal(1)
) -> tuple[Decimal, Decimal] | None:
    """Slope and intercept of y = intercept + slope x for points (x, y) that both scatter; None without a direction.

    `variance_ratio` is the error variance of y over that of x; 1 says that both scatter alike, as agencies' figures for
    gauge and sand cone roughly do (from memory). Validity: ratio above zero. Raises `OutsideValidity`.
    Source: Deming, Statistical Adjustment of Data, 1943; CLSI EP09 (from memory).

    >>> line([(Decimal(n), Decimal(2 * n)) for n in range(1, 5)])
    (Decimal('2.000000000'), Decimal('0E-9'))
    """
    if variance_ratio <= 0:
        raise OutsideValidity(
            "variance-ratio-not-positive",
            f"The ratio of error variances is {variance_ratio}; it must be greater than zero.",
            value=variance_ratio,
            limit=Decimal(0),
        )
    x, y = [float(one) for one, _ in points], [float(other) for _, other in points]
    ratio, count = float(variance_ratio), len(points)
    middle_x, middle_y = sum(x) / count, sum(y) / count
    square_x, square_y = sum((one - middle_x) ** 2 for one in x), sum((one - middle_y) ** 2 for one in y)
    cross = sum((one - middle_x) * (other - middle_y) for one, other in zip(x, y, strict=True))
    if abs(cross) <= 1e-12 * max(square_x, square_y, 1e-300):
        return None
    excess = square_y - ratio * square_x
    slope = (excess + sqrt(excess * excess + 4 * ratio * cross * cross)) / (2 * cross)
    if abs(slope) > _STEEPEST:
        return None
    return quantise(Decimal(repr(slope))), quantise(Decimal(repr(middle_y - slope * middle_x)))
