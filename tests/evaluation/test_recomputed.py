"""Margins worked a second time in plain floats; the chain of figures itself stands in test_plain_float_chain."""

import math
import random

from compaction import evaluation
from tests.evaluation import builders

CASES = 400


def close(found: object, expected: float) -> bool:
    return math.isclose(float(found), expected, rel_tol=1e-9, abs_tol=1e-9)  # type: ignore[arg-type]


def test_the_margin_is_the_distance_to_the_nearer_limit() -> None:
    rng = random.Random(9)
    for _ in range(CASES):
        dry = rng.randrange(880, 1120) / 10
        body = builders.sheet_body(dry=f"{dry} pcf", water_content="12.0 %")
        two_sided = builders.criterion(1, "percent_compaction", "95", "100")
        outcome = evaluation.evaluate(
            builders.inputs(
                body, reference=builders.reference("100.0"), specification=builders.specification(two_sided)
            )
        )
        (one,) = outcome.criteria
        assert one.margin is not None
        assert close(one.margin, min(dry - 95, 100 - dry))
        assert outcome.result == ("pass" if 95 <= dry <= 100 else "fail")
