"""Evaluations per second of one core, by its own time; run `python -m tests.benchmarks.bench_evaluation`.

Other work on the machine only ever makes it slower, so the best of many short rounds counts. Every round goes through
40 different tests that share a reference and a specification, as a project's tests do; "together" through ten times as
many in one call, as previews, reassessments and the rebuild check do.
"""

import gc
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from compaction import evaluation, observation
from compaction.calculations.rounding import rule
from compaction.facts import CurvePoint, EvaluationInputs, RoundingStep
from compaction.instrument_facts import ApparatusFacts
from tests.evaluation import builders

D = builders.D
TESTS = 40
SECONDS = 2.0
POINTS = tuple(CurvePoint(D(w), D(d)) for w, d in ((18, 1490), (20, 1550), (22, 1586), (24, 1555), (26, 1500)))


def best(work: Callable[[Any], object], things: Sequence[Any]) -> float:
    """How often a second, in the best of the rounds that fit into the time."""
    shortest, begun = float("inf"), time.process_time()
    while time.process_time() - begun < SECONDS:
        start = time.process_time()
        for thing in things:
            work(thing)
        shortest = min(shortest, time.process_time() - start)
    return len(things) / shortest


def gauge_bodies() -> list[dict[str, Any]]:
    return [
        builders.gauge_body(wet=f"{D(1180 + place) / 10} pcf", water_content=f"{D(240 + place) / 10} %")
        for place in range(TESTS)
    ]


def cone_bodies() -> list[dict[str, Any]]:
    bodies = [builders.cone_body(oversize=builders.OVERSIZE, maximum_particle="12 mm") for _ in range(TESTS)]
    for place, body in enumerate(bodies):
        body["readings"]["soil_wet_mass"] = f"{3400 + place} g"
    return bodies


def gauge() -> EvaluationInputs:
    rounding = (RoundingStep("dry_density", D("0.1"), "pcf"), RoundingStep("percent_compaction", D("0.1"), "%"))
    moisture = builders.criterion(2, "water_content_deviation", "0", "5")
    inputs = builders.inputs(
        gauge_bodies()[0],
        reference=builders.reference("99.0", "22.0", specific_gravity=D("2.70"), points=POINTS),
        specification=builders.specification(builders.DENSITY_95, moisture, rounding=rounding),
    )
    return replace(inputs, apparatus=(ApparatusFacts("G-7", "gauge", date(2026, 1, 1), date(2026, 12, 31)),))


def cone() -> EvaluationInputs:
    return builders.inputs(
        cone_bodies()[0],
        reference=builders.reference(oversize_rule="correct_maximum", specific_gravity=D("2.70")),
        specification=builders.specification(),
    )


def main() -> None:
    rule(())
    kinds = (("gauge, two criteria", gauge(), gauge_bodies()), ("sand cone with oversize", cone(), cone_bodies()))
    for name, shared, bodies in kinds:
        every = [replace(shared, observation=observation.read(body)) for body in bodies]
        outcomes = [evaluation.evaluate(inputs) for inputs in every]
        plain = [evaluation.to_plain(outcome) for outcome in outcomes]
        print(f"{name}: {len(outcomes[0].steps)} steps, {len(outcomes[0].findings)} findings")
        gc.collect()
        gc.freeze()  # what was imported is no part of an evaluation

        def from_body(body: dict[str, Any], shared: EvaluationInputs = shared) -> object:
            return evaluation.evaluate(replace(shared, observation=observation.read(body)))

        for what, work, things in (
            ("read and evaluate, with worksheet", from_body, bodies),
            ("evaluate, with worksheet", evaluation.evaluate, every),
            ("evaluate, without worksheet", lambda one: evaluation.evaluate(one, worksheet=False), every),
            ("the same, unnamed", lambda one: evaluation.evaluate(one, worksheet=False, named=False), every),
            ("read a body", observation.read, bodies),
            ("name the inputs", evaluation.inputs_digest, every),
            ("name an outcome", evaluation.digest, outcomes),
            ("to_plain", evaluation.to_plain, outcomes),
            ("from_plain", evaluation.from_plain, plain),
        ):
            print(f"  {what:36}{best(work, things):10,.0f} a second")

        many = [replace(shared, observation=observation.read(body)) for _ in range(10) for body in bodies]
        for what, options in (
            ("together, with worksheet", {}),
            ("together, without worksheet", {"worksheet": False}),
            ("the same, unnamed", {"worksheet": False, "named": False}),
        ):

            def together(tests: list[EvaluationInputs], options: dict[str, bool] = options) -> None:
                for _ in evaluation.evaluate_all(tests, **options):
                    pass

            print(f"  {what:36}{best(together, [many]) * len(many):10,.0f} a second")


if __name__ == "__main__":
    main()
