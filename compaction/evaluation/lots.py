"""From a lot as declared and the tests at its place to its result: pure, for settling, preview and rebuild alike."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.lot_declaration import LotFacts, LotRule, LotTest
from compaction.calculations.lot_rules import MET, NOT_MET, UNDECIDED, LotVerdict, judge_lot
from compaction.evaluation.lot_comparison import LotComparison, compare_lot
from compaction.evaluation.lot_membership import Member, members
from projects import canonical

LOT_CALCULATION_VERSION: Final = "1"


@dataclass(frozen=True)
class LotResult:
    """Who belongs to the lot, what each rule says of them, what stands open beside it."""

    result: str  # met | not_met | undecided
    basis: str  # final | provisional
    basis_reasons: tuple[str, ...]
    verdicts: tuple[LotVerdict, ...]
    members: tuple[Member, ...]
    failing: tuple[LotTest, ...]  # of the lot, by themselves, whatever the statistic says
    comparison: LotComparison | None = None

    @property
    def counting(self) -> tuple[Member, ...]:
        """The tests that are judged together, in order."""
        return tuple(one for one in self.members if one.counts)

    @property
    def sentence(self) -> str:
        """Every verdict, then what is provisional and what fails by itself."""
        parts = [verdict.sentence for verdict in self.verdicts]
        if self.basis_reasons:
            parts.append(f"Provisional: {'; '.join(self.basis_reasons)}.")
        if self.failing:
            names = ", ".join(test.name for test in self.failing)
            parts.append(f"Failing by themselves: {names}.")
        return " ".join(parts)


def judge(facts: LotFacts, tests: Sequence[LotTest]) -> LotResult:
    """The result of a lot on the tests made at its place, in whatever order they are given."""
    found = members(facts, tests)
    counting = [one for one in found if one.counts]
    verdicts, reasons = [], []
    for rule in facts.rules:
        values = [value for one in counting if (value := _value(rule, one.test)) is not None]
        verdicts.append(judge_lot(rule, values))
        missing = len(counting) - len(values)
        if missing:
            reasons.append(f"{missing} of {len(counting)} tests have no {rule.quantity.replace('_', ' ')} yet")
        if len(values) < rule.minimum_tests:
            reasons.append(f"{len(values)} of at least {rule.minimum_tests} tests")
    for words, count in (
        ("provisional", sum(1 for one in counting if one.test.basis == "provisional")),
        ("on hold", sum(1 for one in found if one.code == "held")),
    ):
        if count:
            reasons.append(f"{count} test{'s' if count > 1 else ''} {words}")
    results = {verdict.result for verdict in verdicts}
    result = NOT_MET if NOT_MET in results else UNDECIDED if UNDECIDED in results else MET
    return LotResult(
        result=result,
        basis="provisional" if reasons else "final",
        basis_reasons=tuple(dict.fromkeys(reasons)),
        verdicts=tuple(verdicts),
        members=tuple(found),
        failing=tuple(
            sorted(
                (one.test for one in found if one.test.result == "fail" and not one.test.voided and not one.barred),
                key=lambda test: (test.performed_at, test.uuid),
            )
        ),
        comparison=compare_lot(facts, found),
    )


def _value(rule: LotRule, test: LotTest) -> Decimal | None:
    if rule.figures == "judged" and rule.quantity in test.judged:
        return test.judged[rule.quantity]
    return test.values.get(rule.quantity)


def to_plain(result: LotResult) -> dict[str, Any]:
    """The result as content to be stored and shown: decimals as strings, tests by uuid and name."""
    comparison = result.comparison
    plain: dict[str, Any] = {
        "result": result.result,
        "basis": result.basis,
        "basis_reasons": list(result.basis_reasons),
        "sentence": result.sentence,
        "verdicts": [asdict(verdict) for verdict in result.verdicts],
        "members": [_member(one, [verdict.quantity for verdict in result.verdicts]) for one in result.members],
        "failing": [{"test": test.uuid, "label": test.name} for test in result.failing],
        "comparison": None if comparison is None else asdict(comparison),
    }
    found: dict[str, Any] = canonical.plain(plain)
    return found


def _member(one: Member, quantities: Sequence[str]) -> Mapping[str, Any]:
    return {
        "test": one.test.uuid,
        "label": one.test.name,
        "counts": one.counts,
        "code": one.code,
        "reason": one.reason,
        "in_place_of": one.place_of,
        "outcome_digest": one.test.outcome_digest,
        "basis": one.test.basis,
        "result": one.test.result,
        "figures": {name: one.test.values[name] for name in quantities if name in one.test.values},
    }


def lot_digest(facts: LotFacts, plain: Mapping[str, Any]) -> str:
    """Names the figures that a person looks at: the declaration's digest and everything in the result."""
    return canonical.digest({"lot": facts.digest, "calculation": LOT_CALCULATION_VERSION, **plain})


def facts_digest(facts: LotFacts, outlines: Sequence[Mapping[str, Any]]) -> str:
    """Names what decides about membership and verdict; title, clause and times of declaration are not among it."""
    return canonical.digest(
        {
            "outlines": list(outlines),
            "rules": [
                [
                    rule.statistic, rule.quantity, rule.unit, rule.minimum, rule.maximum, rule.each_minimum,
                    rule.each_maximum, rule.of, rule.k, list(rule.k_by_tests), rule.percent_within_at_least_pct,
                    rule.within_by, rule.minimum_tests, rule.figures,
                    [[step.quantity, step.increment, step.unit, step.tie] for step in rule.rounding],
                ]
                for rule in facts.rules
            ],
            "extent": [
                facts.zone, facts.lift_from, facts.lift_to, _day(facts.first_day), _day(facts.last_day),
                facts.next_tests,
            ],
            "purposes": list(facts.purposes),
            "retests": facts.retests,
            "individual": facts.individual_failures,
            "risk": facts.comparison_risk_pct,
        }
    )  # fmt: skip


def _day(day: Any) -> str:
    return day.isoformat() if day else ""
