"""A rule of frequency in words, as a clause reads."""

from decimal import Decimal

from compaction.calculations.quantities import from_si, quantise
from compaction.calculations.rounding import plain_number
from compaction.frequency_rules import Counter, FrequencyRule


def sentence(rule: FrequencyRule) -> str:
    """The whole rule in one line: "gauge: one for every 200 yd3 within each lift, at least 2, in core"."""
    counters = " or ".join(_counter(one) for one in rule.counters)
    told = [f"{rule.name}: {counters}" + (", whichever gives more" if len(rule.counters) > 1 else "")]
    told.append(f"in {rule.zone}" if rule.zone else "everywhere")
    if rule.material:
        told.append(f"of {rule.material}")
    if rule.methods:
        told.append(f"by {' or '.join(rule.methods)}")
    if rule.counts != "tests":
        told.append(f"counted are laboratory {rule.counts}")
    told.append(f"for {' or '.join(rule.purposes)}")
    if rule.reduced is not None:
        told.append(f"after {rule.reduced.after_passes} passes in a row one in {rule.reduced.one_in}")
    if rule.signed_release:
        told.append("lifts are released by signature")
    return ", ".join(told).replace("_", " ")


def _counter(one: Counter) -> str:
    many = quantise(from_si(one.interval, one.unit)) if one.unit else one.interval
    amount = f"{plain_number(many, decimals=3)} {one.unit}" if one.unit else _things(many, one.basis.removesuffix("s"))
    least = f", at least {one.minimum}" if one.minimum else ""
    return f"one for every {amount} within each {one.within}{least}"


def _things(many: Decimal, thing: str) -> str:
    return thing if many == 1 else f"{plain_number(many)} {thing}s"
