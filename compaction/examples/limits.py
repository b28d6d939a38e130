"""Tables of limits, row by row: exactly on the limit and a little beside it."""

from decimal import Decimal

from compaction.calculations import moisture, oversize
from compaction.calculations.errors import OutsideValidity
from compaction.calculations.hole_sizes import PIT_VOLUMES, SMALLEST_HOLES, hole_findings, pit_volume_findings
from compaction.calculations.moisture_specimens import SPECIMEN_TABLES, smallest_specimen_kg
from compaction.examples.check import Check
from compaction.examples.figures import BrokenExample, si
from compaction.examples.topic import Example, Topic

_A_LITTLE = Decimal("0.000001")
#: its last particle differs between editions, so the table of one edition is longer than that of another
_LENGTH_DIFFERS = ("AASHTO T 191",)


def run(example: Example, check: Check) -> None:
    """Every row of every table that the example states."""
    for place, row in enumerate(example.get("oversize", []), 1):
        _oversize(row, f"oversize[{place}]", check)
    if "specimens" in example:
        _specimens(example, check)
    if "holes" in example:
        _holes(example, check)
    for place, (standard, smallest, largest) in enumerate(example.get("pits", []), 1):
        _pit(standard, si(smallest, f"pits[{place}]"), si(largest, f"pits[{place}]"), check)
    if "dial_maximum" in example:
        limit = si(example["dial_maximum"], "dial_maximum")
        moisture.carbide_dry_basis(limit)
        check.same("a dial beyond the maximum", "refused", _refusal(limit + _A_LITTLE))
        kept = f"{moisture.CARBIDE_DIAL_MAXIMUM_PCT} %"
        check.figure("dial_maximum", example["dial_maximum"], si(kept, "dial_maximum"))
    if "dial_maximum_aggregate" in example:
        check.figure(
            "dial_maximum_aggregate", example["dial_maximum_aggregate"], moisture.CARBIDE_DIAL_MAXIMUM_AGGREGATE_PCT
        )


def _refusal(dial_pct: Decimal) -> str:
    try:
        moisture.carbide_dry_basis(dial_pct)
    except OutsideValidity:
        return "refused"
    return "taken"


def _oversize(row: Example, key: str, check: Check) -> None:
    where = f"{row['practice']} {row['sieve']}"

    def state(percent: Decimal) -> str:
        try:
            applies = oversize.correction_applies(oversize_pct=percent, sieve=row["sieve"], practice=row["practice"])
        except OutsideValidity as error:
            return error.code
        return "corrected" if applies else "left out"

    minimum = si(row["minimum"], f"{key}.minimum")
    check.same(f"{where}, {row['minimum']}", "left out", state(minimum))
    check.same(f"{where}, above {row['minimum']}", "corrected", state(minimum + _A_LITTLE))
    if "maximum" in row:
        maximum = si(row["maximum"], f"{key}.maximum")
        check.same(f"{where}, {row['maximum']}", "corrected", state(maximum))
        check.same(f"{where}, above {row['maximum']}", "oversize-beyond-limit", state(maximum + _A_LITTLE))


def _table(tables: dict[str, object], example: Example) -> str:
    standard = str(example.get("standard"))
    if standard not in tables:
        raise BrokenExample("standard", f"{standard!r} has no such table.", f"Use one of {', '.join(tables)}.")
    return standard


def _specimens(example: Example, check: Check) -> None:
    standard = _table(dict(SPECIMEN_TABLES), example)
    for place, (particle, mass) in enumerate(example["specimens"], 1):
        particle_mm = si(particle, f"specimens[{place}]") * 1000
        smallest_kg = smallest_specimen_kg(maximum_particle_mm=particle_mm, standard=standard)
        check.figure(f"specimen for {particle}", mass, smallest_kg, within=f"0 {mass.partition(' ')[2]}")
    check.same("rows of specimens", len(example["specimens"]), len(SPECIMEN_TABLES[standard][-1].rows))


def _holes(example: Example, check: Check) -> None:
    standard = _table(dict(SMALLEST_HOLES), example)
    for place, (particle, volume) in enumerate(example["holes"], 1):
        particle_mm, smallest_m3 = si(particle, f"holes[{place}]") * 1000, si(volume, f"holes[{place}]")
        at, below = (
            [
                one.code
                for one in hole_findings(hole_volume_m3=size_m3, maximum_particle_mm=particle_mm, standard=standard)
            ]
            for size_m3 in (smallest_m3, smallest_m3 - _A_LITTLE)
        )
        check.same(f"hole of {volume} for {particle}", [], at)
        check.same(f"hole below {volume} for {particle}", ["hole-too-small"], below)
    if standard not in _LENGTH_DIFFERS:
        check.same("rows of holes", len(example["holes"]), len(SMALLEST_HOLES[standard][-1].rows))


def _pit(standard: str, smallest_m3: Decimal, largest_m3: Decimal, check: Check) -> None:
    _table(dict(PIT_VOLUMES), {"standard": standard})
    for name, volume, expected in (
        ("smallest", smallest_m3, []),
        ("largest", largest_m3, []),
        ("below the smallest", smallest_m3 - _A_LITTLE, ["pit-outside-method"]),
        ("above the largest", largest_m3 + _A_LITTLE, ["pit-outside-method"]),
    ):
        found = [one.code for one in pit_volume_findings(pit_volume_m3=volume, standard=standard)]
        check.same(f"{standard}, {name}", expected, found)


LIMITS = Topic(
    code="limits",
    title="Tables of limits",
    run=run,
    keys={
        "standard": "whose table `specimens` or `holes` is",
        "specimens": "pairs of a largest particle and the smallest specimen for it",
        "holes": "pairs of a largest particle and the smallest hole for it",
        "pits": "a standard, the smallest and the largest pit for which it is meant",
        "oversize": "rows with `practice`, `sieve`, `minimum` and where there is one `maximum`",
        "dial_maximum": "highest reading of a carbide tester",
        "dial_maximum_aggregate": "the same for aggregate",
    },
)
