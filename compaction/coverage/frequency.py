"""How many tests a frequency rule asks for: counters over what was placed, rounded up once where they accumulate.

A counter runs over its *scope* (a lift of an area, a day, an area, a lot, a material) in the order in which fill was
placed, and is rounded up there, once. What it asks for in total is given to the lifts by difference: a lift gets what
the total rises by while it is placed, so that the lifts add up to the total whatever the order of arrival. Source:
practice of published rules ("one per 2,000 cubic yards", "whichever gives more"); the way of attribution is this
service's own.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import ROUND_CEILING, Decimal
from typing import Final

from compaction.calculations.quantities import UNITS
from compaction.coverage.facts import Count, Counter, FrequencyRule, Placed, Tested
from compaction.coverage.running import Running

Group = tuple[str, int]
RulesOf = Callable[[str, datetime], tuple[FrequencyRule, ...]]

#: a millionth of an interval: less than any quantity is measured to, more than a conversion of units moves it
_STEP: Final = Decimal("1e-6")
_SI: Final = {"volume": "m³", "area": "m²", "length": "m", "height": "m"}
_SHOWN: Final = {"yd3": "yd³", "m3": "m³", "ft3": "ft³", "m2": "m²", "ft2": "ft²", "yd2": "yd²"}
_THINGS: Final = {
    "lift": "lifts",
    "day": "days of placing",
    "visit": "days of placing",
    "side": "sides",
    "material": "materials",
    "tests": "tests to be checked",
}
_SCOPE: Final = {
    "lift": "on this lift",
    "day": "placed in a day",
    "area": "running in this area",
    "lot": "in this lot",
    "material": "of this material",
}
#: what to state so that a counter can count
_WANTED: Final = {
    "volume": "the quantity of a placement is not stated (quantity, loads, or thickness)",
    "area": "the plan area of a placement is not known",
    "length": "the length of a placement is not known",
    "height": "the thickness of a placement is not stated",
    "side": "the side of a placement is not stated",
    "material": "the material of a placement is not stated",
}


def rounded_up(quantity: Decimal, interval: Decimal) -> int:
    """Intervals begun in a quantity: 2,001 m3 at one per 1,000 m3 is 3. Never negative, 0 for nothing.

    A millionth of an interval too much does not count, so that a conversion of units cannot add a test.

    >>> rounded_up(Decimal("2001"), Decimal("1000")), rounded_up(Decimal("2000.0000001"), Decimal("1000"))
    (3, 2)
    """
    if quantity <= 0:
        return 0
    return int((quantity / interval).quantize(_STEP).to_integral_value(rounding=ROUND_CEILING))


@dataclass
class Demand:
    """What one rule asks of one group. `required` is None where a quantity is missing; `at_least` is known anyway."""

    rule: FrequencyRule
    required: int | None = 0
    at_least: int = 0
    counts: list[Count] = field(default_factory=list)
    note: str = ""


@dataclass
class _Share:
    """A counter's part in one group."""

    quantity: Decimal | None = Decimal(0)
    tests: int | None = 0
    at_least: int = 0


def applies(rule: FrequencyRule, placed: Placed) -> bool:
    """Whether a placement is counted by a rule: its zone and material, and nothing that is exempt."""
    if placed.exempt or rule.counts != "tests":
        return False
    return rule.zone in ("", placed.zone, placed.area) and rule.material in ("", placed.material)


def scope_of(within: str, placed: Placed) -> tuple[object, ...]:
    """The key of what a counter accumulates over."""
    if within == "area":
        return (placed.area,)
    if within == "day":
        return (placed.area, placed.day)
    if within == "material":
        return (placed.material,)
    if within == "lot" and placed.lot:
        return ("lot", placed.lot)
    return (placed.area, placed.lift)


def in_order(placed: Iterable[Placed]) -> list[Placed]:
    """As the fill was placed; the same whatever order the records came in."""
    return sorted(placed, key=lambda one: (one.placed_at, one.lift, one.area, one.uuid))


def demands(placed: Iterable[Placed], rules_of: RulesOf) -> dict[Group, list[Demand]]:
    """What every rule asks of every group in which something is placed. Tests do not enter.

    Counters over tests (every n-th one checked) and rules that count references are not here: they hold for an area
    or a material, not for a lift; see `ratios`.
    """
    scopes: dict[tuple[FrequencyRule, str, tuple[object, ...]], list[Placed]] = {}
    found: dict[Group, dict[FrequencyRule, dict[Counter, _Share]]] = {}
    for one in in_order(placed):
        group = found.setdefault((one.area, one.lift), {})
        for rule in rules_of(one.zone, one.placed_at):
            if applies(rule, one):
                group.setdefault(rule, {})
                for within in {counter.within for counter in rule.counters if counter.basis != "tests"}:
                    scopes.setdefault((rule, within, scope_of(within, one)), []).append(one)
    for (rule, within, _), rows in scopes.items():
        _accumulate(rule, within, rows, found)
    return {
        group: [_demand(rule, shares) for rule, shares in rules.items() if shares] for group, rules in found.items()
    }


def _accumulate(
    rule: FrequencyRule,
    within: str,
    rows: Sequence[Placed],
    found: Mapping[Group, dict[FrequencyRule, dict[Counter, _Share]]],
) -> None:
    """Run the counters of one scope over its placements; what the larger total rises by goes to the group.

    Of several counters over the same scope the one with the larger total so far decides ("whichever gives more").
    """
    counters = [one for one in rule.counters if one.within == within and one.basis != "tests"]
    running = {counter: Running(counter.basis) for counter in counters}
    before, unknown = 0, False
    for row in rows:
        shares = found[row.area, row.lift][rule]
        totals = []
        for counter in counters:
            added = running[counter].add(row)
            share = shares.setdefault(counter, _Share())
            if share.quantity is not None:
                share.quantity = None if added is None else share.quantity + added
            unknown = unknown or added is None
            totals.append(max(rounded_up(running[counter].known, counter.interval), counter.minimum))
        rise = max(totals) - before
        before = max(totals)
        # The rise is one figure of the scope; it is carried by the first of its counters.
        carrier = shares[counters[0]]
        carrier.at_least += rise
        carrier.tests = None if unknown or carrier.tests is None else carrier.tests + rise


def _demand(rule: FrequencyRule, shares: Mapping[Counter, _Share]) -> Demand:
    """Over scopes of different kinds the largest share decides."""
    asked: dict[str, _Share] = {}
    for counter, share in shares.items():
        asked.setdefault(counter.within, share)
    known = [share.tests for share in asked.values() if share.tests is not None]
    return Demand(
        rule=rule,
        required=max(known) if len(known) == len(asked) else None,
        at_least=max(share.at_least for share in asked.values()),
        counts=[_count(rule, counter, share, asked[counter.within]) for counter, share in shares.items()],
    )


def _count(rule: FrequencyRule, counter: Counter, share: _Share, asked: _Share) -> Count:
    return Count(
        rule=rule.name,
        basis=counter.basis,
        within=counter.within,
        quantity=share.quantity,
        interval=counter.interval,
        required=asked.tests,
        at_least=asked.at_least,
        sentence=_sentence(counter, share, asked),
    )


def amount(counter: Counter, value: Decimal) -> str:
    """A quantity of a counter in the unit in which its interval was written."""
    if counter.basis not in _SI:
        return f"{value:f} {_THINGS[counter.basis]}"
    factor = next((units[counter.unit] for units in UNITS.values() if counter.unit in units), Decimal(1))
    shown = (value / factor).quantize(Decimal("0.1"))
    whole = shown == shown.to_integral_value()
    unit = _SHOWN.get(counter.unit, counter.unit) or _SI[counter.basis]
    return f"{shown:,.0f} {unit}" if whole else f"{shown:,} {unit}"


def _sentence(counter: Counter, share: _Share, asked: _Share) -> str:
    per = f"one per {amount(counter, counter.interval)}"
    if counter.minimum:
        per += f", at least {counter.minimum}"
    if share.quantity is None:
        return f"{_WANTED.get(counter.basis, 'a quantity is not known')}; the rule asks for {per}."
    there = f"{amount(counter, share.quantity)} {_SCOPE[counter.within]}"
    if asked.tests is None:
        return f"{there} at {per}; how many that makes is not known, because a quantity before it is not."
    if counter.within in ("area", "material", "day"):
        there = f"{amount(counter, share.quantity)} of the quantity {_SCOPE[counter.within]}"
    return f"{there} at {per}: {tests(asked.tests)} here."


def tests(number: int) -> str:
    """>>> tests(1), tests(3)
    ('1 test', '3 tests')
    """
    return f"{number} test" if number == 1 else f"{number} tests"


def at_least(asked: Iterable[tuple[tuple[str, ...], int]]) -> int:
    """The smallest number of tests that gives every rule its own, each rule with the methods that it counts.

    A test by one method also counts for a rule that takes all methods. Exact where the sets of methods are nested or
    apart, as written rules are.

    >>> at_least([((), 5), (("sand_cone",), 2)]), at_least([(("sand_cone",), 2), (("nuclear_gauge",), 3)])
    (5, 5)
    """
    given: list[tuple[tuple[str, ...], int]] = []
    for methods, wanted in sorted(asked, key=lambda one: (len(one[0]) or 1000, one[0])):
        served = sum(number for other, number in given if not methods or (other and set(other) <= set(methods)))
        given.append((methods, max(0, wanted - served)))
    return sum(number for _, number in given)


# ---- what counts ---------------------------------------------------------------------------------
def original(test: Tested) -> bool:
    """A valid original test with a result, pass, fail or pending: it counts once as made.

    Retests and check tests, voided ones, those in an exempt area, without a criterion, and passes on hold add nothing;
    a failing test counts even when held. Source: practice, "only valid, original acceptance tests count for frequency".
    """
    if not test.original or test.voided or test.exempt or test.result == "no_criterion":
        return False
    return test.result == "fail" or not test.held


def counts_for(rule: FrequencyRule, test: Tested) -> bool:
    """Whether a test is one of those that a rule asks for."""
    return original(test) and test.purpose in rule.purposes and (not rule.methods or test.method in rule.methods)


def passes(test: Tested) -> bool:
    """Whether its spot is complete: it passes, or its failure has ended."""
    return test.result == "pass" or (test.result == "fail" and bool(test.failure_state) and not test.failure_open)
