"""Evaluations per second of one core, by its own time; run `python -m tests.benchmarks.bench_evaluation`."""

import time
from collections.abc import Callable

from compaction import evaluation, observation
from compaction.calculations.rounding import rule
from compaction.facts import EvaluationInputs, RoundingStep
from tests.evaluation import builders

SECONDS = 2.0


def per_second(work: Callable[[], object]) -> float:
    work()
    count, begun = 0, time.process_time()
    while (passed := time.process_time() - begun) < SECONDS:
        for _ in range(50):
            work()
        count += 50
    return count / passed


def gauge() -> EvaluationInputs:
    rounding = (
        RoundingStep("dry_density", builders.D("0.1"), "pcf"),
        RoundingStep("percent_compaction", builders.D("0.1"), "%"),
    )
    moisture = builders.criterion(2, "water_content_deviation", "0", "5")
    return builders.inputs(
        builders.gauge_body(wet="121.0 pcf", water_content="25.3 %"),
        reference=builders.reference("99.0", "22.0", specific_gravity=builders.D("2.70")),
        specification=builders.specification(builders.DENSITY_95, moisture, rounding=rounding),
    )


def cone() -> EvaluationInputs:
    return builders.inputs(
        builders.cone_body(oversize=builders.OVERSIZE, maximum_particle="25 mm"),
        reference=builders.reference(oversize_rule="correct_maximum", specific_gravity=builders.D("2.70")),
        specification=builders.specification(),
    )


def main() -> None:
    rule(())
    for name, inputs in (("gauge, two criteria", gauge()), ("sand cone with oversize", cone())):
        outcome = evaluation.evaluate(inputs)
        plain = evaluation.to_plain(outcome)
        print(f"{name}: {len(outcome.steps)} steps, {len(outcome.findings)} findings")
        print(f"  evaluate       {per_second(lambda inputs=inputs: evaluation.evaluate(inputs)):10,.0f} a second")
        print(f"  inputs_digest  {per_second(lambda inputs=inputs: evaluation.inputs_digest(inputs)):10,.0f} a second")
        print(f"  digest         {per_second(lambda outcome=outcome: evaluation.digest(outcome)):10,.0f} a second")
        print(f"  to_plain       {per_second(lambda outcome=outcome: evaluation.to_plain(outcome)):10,.0f} a second")
        print(f"  from_plain     {per_second(lambda plain=plain: evaluation.from_plain(plain)):10,.0f} a second")
    body = builders.cone_body()
    print(f"read a body      {per_second(lambda: observation.read(body)):10,.0f} a second")


if __name__ == "__main__":
    main()
