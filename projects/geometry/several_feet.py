"""Which of many points may have more than one foot, told by sign changes between samples, without solving any."""

import numpy as np
from numpy.typing import NDArray

from projects.geometry.alignment import Alignment
from projects.geometry.elements import FloatArray

_AT_ONCE = 2_000_000  # values in one matrix
_MARGIN_M = 1e-3
_SLACK_M = 0.01
_CENTRE = 0.01


def not_plain(
    alignment: Alignment, *, eastings_m: FloatArray, northings_m: FloatArray, reach_m: FloatArray
) -> NDArray[np.bool_]:
    """True where a point has not exactly one foot worth naming inside an element, so that it deserves `project`.

    `reach_m` is up to where a foot counts beside the nearest (`FootLimits`). Between neighbouring samples the signed
    distance ahead falls through zero at a foot; it can touch zero twice unseen only beside the evolute of a
    transition, where 1 - k d changes sign.
    """
    x_all, y_all = alignment.from_grid(
        np.asarray(eastings_m, dtype=np.float64), np.asarray(northings_m, dtype=np.float64)
    )
    samples = alignment.samples
    same = samples.element[:-1] == samples.element[1:]
    steps = np.diff(samples.s)
    rows = max(1, _AT_ONCE // len(samples.x))
    found = np.zeros(x_all.shape, dtype=np.bool_)
    for begin in range(0, len(x_all), rows):
        chosen = slice(begin, begin + rows)
        dx = (x_all[chosen] - samples.origin[0])[:, None] - samples.x
        dy = (y_all[chosen] - samples.origin[1])[:, None] - samples.y
        ahead = dx * samples.tx + dy * samples.ty
        left = dy * samples.tx - dx * samples.ty
        bend = 1.0 - samples.k * left
        # the offset changes by less than the turn between two samples (8 degrees) times the distance ahead
        low = np.minimum(np.abs(left[:, :-1]), np.abs(left[:, 1:]))
        low -= 0.2 * np.maximum(np.abs(ahead[:, :-1]), np.abs(ahead[:, 1:]))
        worth = same & (low <= reach_m[chosen][:, None] + _SLACK_M)
        falls = (worth & (ahead[:, :-1] > _MARGIN_M) & (ahead[:, 1:] < -_MARGIN_M)).sum(axis=1)
        at_sample = ((np.abs(ahead) <= _MARGIN_M) & (np.abs(bend) > 0.0)).any(axis=1)
        reach = 2.0 * steps * np.maximum(np.abs(bend[:, :-1]), np.abs(bend[:, 1:]))
        touches = np.minimum(np.abs(ahead[:, :-1]), np.abs(ahead[:, 1:])) <= reach
        hidden = (same & (bend[:, :-1] * bend[:, 1:] < 0) & touches).any(axis=1)
        centre = (np.abs(bend) <= _CENTRE).any(axis=1)
        found[chosen] = (falls != 1) | at_sample | hidden | centre
    return found
