"""What rules ask for beside the lifts: every n-th test checked by another method, laboratory curves per quantity.

These hold for an area, a day or a material and release no lift: a check may stand anywhere in the run.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from compaction.coverage.belonging import Placements
from compaction.coverage.facts import Counter, FrequencyRule, Placed, Tested
from compaction.coverage.frequency import Group, amount, in_order, original, rounded_up, scope_of
from compaction.coverage.lifts import Book
from compaction.coverage.running import Running


@dataclass(frozen=True)
class Curve:
    """A laboratory curve, by its code and the soil that it names."""

    code: str
    soil: str = ""


@dataclass(frozen=True)
class Ratio:
    """One rule over one scope. `required` is None where a quantity is not known."""

    rule: str
    scope: str
    quantity: Decimal | None
    required: int | None
    made: int
    short: int
    sentence: str


def ratios(book: Book, *, curves: Iterable[Curve] = ()) -> list[Ratio]:
    """Every rule of these kinds over every scope that it reaches, by rule and scope."""
    found = [*_checked(book), *_references(book, list(curves))]
    return sorted(found, key=lambda one: (one.rule, one.scope))


# ---- every n-th test -----------------------------------------------------------------------------
def _checked(book: Book) -> list[Ratio]:
    """Direct tests per so many others: one is due whenever another n have been made."""
    where = Placements(book.placed)
    to_check: dict[tuple[FrequencyRule, Counter, str], int] = {}
    made: dict[tuple[FrequencyRule, Counter, str], int] = {}
    for test in book.tests:
        group = where.group_of(test)
        for rule in book.rules_of(test.area, test.performed_at) if group else ():
            for counter in rule.counters:
                if counter.basis != "tests" or group is None or rule.zone not in ("", test.area, group[0]):
                    continue
                key = (rule, counter, _scope_words(counter.within, group, test))
                if _is_check(rule, test):
                    made[key] = made.get(key, 0) + 1
                elif original(test) and test.purpose in rule.purposes and test.method not in rule.methods:
                    to_check[key] = to_check.get(key, 0) + 1
    return [_check(key, to_check.get(key, 0), made.get(key, 0)) for key in sorted({*to_check, *made}, key=_by_name)]


def _by_name(key: tuple[FrequencyRule, Counter, str]) -> tuple[str, str]:
    return key[0].name, key[2]


def _is_check(rule: FrequencyRule, test: Tested) -> bool:
    """A direct test that can check: an original, or one made beside another for that purpose; no retest."""
    if test.voided or test.exempt or test.method not in rule.methods or test.result == "no_criterion":
        return False
    return test.check or (test.original and test.purpose in rule.purposes)


def _check(key: tuple[FrequencyRule, Counter, str], number: int, made: int) -> Ratio:
    rule, counter, scope = key
    required = max(number // int(counter.interval), counter.minimum if number else 0)
    return Ratio(
        rule=rule.name,
        scope=scope,
        quantity=Decimal(number),
        required=required,
        made=made,
        short=max(0, required - made),
        sentence=f"{number} tests, one in {int(counter.interval)} to be checked: {required} due, {made} made.",
    )


def _scope_words(within: str, group: Group, test: Tested) -> str:
    words = {"area": group[0], "material": test.material, "day": f"{group[0]}, {test.day}"}
    return words.get(within, f"{group[0]}, lift {group[1]}")


# ---- laboratory curves ---------------------------------------------------------------------------
def _references(book: Book, curves: Sequence[Curve]) -> list[Ratio]:
    scopes: dict[tuple[FrequencyRule, str, tuple[Any, ...]], list[Placed]] = {}
    for one in in_order(book.placed):
        for rule in book.rules_of(one.zone, one.placed_at):
            zone = rule.zone in ("", one.zone, one.area) and rule.material in ("", one.material)
            if rule.counts == "references" and zone and not one.exempt:
                for within in dict.fromkeys(counter.within for counter in rule.counters):
                    scopes.setdefault((rule, within, scope_of(within, one)), []).append(one)
    return [_reference(rule, within, key, rows, curves) for (rule, within, key), rows in scopes.items()]


def _reference(
    rule: FrequencyRule, within: str, key: tuple[Any, ...], rows: Sequence[Placed], curves: Sequence[Curve]
) -> Ratio:
    materials = {one.material.casefold() for one in rows if one.material}
    made = sum(curve.code.casefold() in materials or curve.soil.casefold() in materials for curve in curves)
    required: int | None = 0
    said, quantity = [], None
    for counter in (one for one in rule.counters if one.within == within):
        running = Running(counter.basis)
        unknown = [one for one in rows if running.add(one) is None]
        asked = max(rounded_up(running.known, counter.interval), counter.minimum)
        said.append(f"{amount(counter, running.known)} at one per {amount(counter, counter.interval)}")
        quantity = None if unknown else running.known
        required = None if unknown or required is None else max(required, asked)
    wanted = "a quantity is not known" if required is None else f"{required} asked for"
    return Ratio(
        rule=rule.name,
        scope=", ".join(str(part) for part in key) or "material not stated",
        quantity=quantity,
        required=required,
        made=made,
        short=max(0, (required or 0) - made),
        sentence=f"{'; '.join(said)}: {wanted}, {made} {'curve' if made == 1 else 'curves'} on record.",
    )
