"""All findings of one day for the supervisor, by the kinds that the project has switched on."""

from collections.abc import Collection, Mapping, Sequence

from compaction.evaluation.supervision import curves, pace, repeats
from compaction.evaluation.supervision.facts import KINDS, USUAL, DayTest, SupervisionFinding, names
from compaction.facts import Looks
from projects.geometry.gps_patterns import DayFix, FixLimits, patterns


def without_count(tests: Sequence[DayTest], *, counted: Collection[str]) -> list[SupervisionFinding]:
    """Gauges used that day without a standard count on record. `counted` holds the serials that have one.

    A fact, no estimate: ASTM D6938, section on standardisation, asks for one at the start of each day (from memory).
    """
    found = []
    for serial in sorted({test.gauge for test in tests if test.gauge} - set(counted)):
        used = sorted((test for test in tests if test.gauge == serial), key=lambda test: test.performed_at)
        said = (
            "The sheets state counts; enter them as records, so that they can be compared with earlier ones."
            if all(test.states_count for test in used)
            else "Ask for the count of that day; without it nobody can tell a drift of the gauge."
        )
        sentence = f"Gauge {serial}: used for {names(used)}, and no standard count of that day is on record. {said}"
        uuids = tuple(test.uuid for test in used)
        found.append(SupervisionFinding("no-count", "gauge-without-count", uuids, sentence, {"gauge": serial}))
    return found


def fix_findings(
    fixes: Mapping[str, Sequence[DayFix]], *, frame_m: float, looks: Looks = USUAL
) -> list[SupervisionFinding]:
    """Patterns of the satellite fixes of each crew."""
    limits = FixLimits(
        days_per_alarm=looks.crew_days_per_finding,
        oldest_s=float(looks.fix_minutes * 60),
        far_m=float(looks.far_fix_m),
        yard_m=float(looks.yard_m),
    )
    return [
        SupervisionFinding(
            "fixes",
            pattern.code,
            pattern.tests,
            f"{crew}: {pattern.sentence[0].lower()}{pattern.sentence[1:]}",
            {name: f"{value:.3g}" for name, value in pattern.numbers.items()},
        )
        for crew, made in sorted(fixes.items())
        for pattern in patterns(made, frame_m=frame_m, limits=limits)
    ]


def findings(
    tests: Sequence[DayTest],
    *,
    counted: Collection[str] = (),
    others: Mapping[str, Sequence[float]] | None = None,
    limit_pct: float = curves.LIMIT_PCT,
    fixes: Mapping[str, Sequence[DayFix]] | None = None,
    frame_m: float = 0.0,
    looks: Looks = USUAL,
    switched_on: Collection[str] = tuple(KINDS),
) -> list[SupervisionFinding]:
    """What a supervisor should look at on that day. Nothing here is a result, and no test is changed by it."""
    found = [
        *repeats.repeated(tests, crew_days=looks.crew_days_per_finding),
        *pace.too_fast(tests, looks=looks),
        *pace.gauge_twice(tests, looks=looks),
        *without_count(tests, counted=counted),
        *curves.far_from_curve(tests, others=others or {}, limit_pct=limit_pct, crew_days=looks.crew_days_per_finding),
        *fix_findings(fixes or {}, frame_m=frame_m, looks=looks),
    ]
    return [one for one in found if one.kind in switched_on]
