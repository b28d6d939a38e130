"""From (observation, position, reference, specification, apparatus) to an outcome: the one path, pure."""

from compaction.evaluation.digests import CALCULATION_VERSION, digest, inputs_digest
from compaction.evaluation.outcome import evaluate, evaluate_all
from compaction.evaluation.storage import from_plain, to_plain

__all__ = ["CALCULATION_VERSION", "digest", "evaluate", "evaluate_all", "from_plain", "inputs_digest", "to_plain"]
