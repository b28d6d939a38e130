"""Every example by the name of its schema. Values are invented; tests hold each against its schema, and post them."""

from typing import Any, Final

from api.examples import (
    failures,
    field_tests,
    geometry,
    instruments,
    laboratory,
    lifts,
    lots,
    problems,
    specifications,
    supervision,
)

EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    **failures.EXAMPLES,
    **field_tests.EXAMPLES,
    **geometry.EXAMPLES,
    **instruments.EXAMPLES,
    **laboratory.EXAMPLES,
    **lifts.EXAMPLES,
    **lots.EXAMPLES,
    **problems.EXAMPLES,
    **specifications.EXAMPLES,
    **supervision.EXAMPLES,
}
