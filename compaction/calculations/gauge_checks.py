"""Remarks on how a nuclear gauge was used: notch, mode against lift, counts, walls, other sources, turned readings.

They change no figure. Limits are data with their source; all are from memory unless it says otherwise.
"""

from decimal import Decimal
from typing import Final

from compaction.calculations.gauge_readings import NuclearGaugeReadings
from compaction.calculations.quantities import from_si, to_si
from compaction.facts import Finding

#: Notches of the rod lie one inch (25 mm) apart, from 2 to 12 in. (50 to 300 mm): ASTM D6938-17, 1.2 (greatest depth,
#: read), section on apparatus (spacing, from memory). Gauges are engraved in round inches or round millimetres.
NOTCH_M: Final = Decimal("0.0254")
FIRST_NOTCH, LAST_NOTCH = 2, 12
_ENGRAVING: Final = Decimal("0.02")  # 50 mm is written for 2 in., 300 mm for 12 in.: 1.6 % apart
#: Backscatter takes most of its reading from the top 50 to 100 mm (ASTM D6938, section on interferences).
BACKSCATTER_REACH_M: Final = Decimal("0.100")
#: Shorter counts scatter more, by the square root of the time (ASTM D6938, section on precision).
USUAL_COUNT_TIME_S: Final = Decimal(60)
#: A wall nearer than this sends neutrons back (ASTM D6938, section on interferences).
WALL_M: Final = Decimal("0.6")
#: Another source nearer than this adds to the counts (AASHTO T 310, section on procedure).
OTHER_SOURCE_M: Final = Decimal(10)
#: Turned readings further apart than 3 lb/ft3 are repeated (agency practice with AASHTO T 310).
TURNED_SPREAD_KGM3: Final = to_si(Decimal(3), "pcf")


def notch(depth_m: Decimal) -> int | None:
    """The notch of the rod in inches from the surface; None where no notch lies at that depth (m).

    150 mm and 6 in. are the same notch. Source: ASTM D6938-17, 1.2 and section on apparatus (spacing from memory).

    >>> notch(Decimal("0.1524")), notch(Decimal("0.150")), notch(Decimal("0.165")), notch(Decimal("0.025"))
    (6, 6, None, None)
    """
    nearest = int((depth_m / NOTCH_M).to_integral_value())
    near = abs(depth_m - nearest * NOTCH_M) <= _ENGRAVING * depth_m
    return nearest if near and FIRST_NOTCH <= nearest <= LAST_NOTCH else None


def findings(readings: NuclearGaugeReadings) -> tuple[Finding, ...]:
    """Remarks that follow from the readings alone; see also `later_findings`. Source: see the limits of this module.

    >>> [one.code for one in findings(NuclearGaugeReadings(mode="direct_transmission", wet_density_kgm3=Decimal(2000),
    ...     density_standard_count=2874, moisture_standard_count=660))]
    ['depth-missing']
    """
    return (*_counts(readings), *_depth(readings), *_surroundings(readings), *turned_findings(readings))


def _validity(code: str, sentence: str, **numbers: str) -> Finding:
    return Finding(code=code, severity="validity", sentence=sentence, numbers=numbers)


def _counts(readings: NuclearGaugeReadings) -> list[Finding]:
    if readings.density_standard_count is not None and readings.moisture_standard_count is not None:
        return []
    counts = (("density", readings.density_standard_count), ("moisture", readings.moisture_standard_count))
    missing = [name for name, count in counts if count is None]
    return [
        _validity(
            "standard-count-missing",
            f"The {' and '.join(missing)} standard count of the day is not given; without it nobody can "
            "show that the gauge was stable (ASTM D6938). Add it.",
        )
    ]


def _depth(readings: NuclearGaugeReadings) -> list[Finding]:
    depth_m = readings.depth_m
    if readings.mode == "direct_transmission" and (depth_m is None or depth_m <= 0):
        sentence = "Direct transmission needs the depth of the source rod; it is not given or zero. Add it."
        return [_validity("depth-missing", sentence)]
    if readings.mode != "direct_transmission" and depth_m is not None and depth_m != 0:
        sentence = (
            f"A depth of {depth_m * 1000:.0f} mm does not go with the mode {readings.mode.replace('_', ' ')}, "
            "which reads from the surface. Check mode and depth."
        )
        return [_validity("mode-and-depth-disagree", sentence, depth_mm=f"{depth_m * 1000:.0f}")]
    return []


def later_findings(readings: NuclearGaugeReadings, *, lift_thickness_m: Decimal | None) -> list[Finding]:
    """Remarks on readings that older tests have too: "depth-not-a-notch", "backscatter-shallower-than-lift",
    "count-time-short".

    A test that gets one of them names it in its digest: what was worked out before they were known stands beside.
    Source: see the limits of this module.

    >>> [one.code for one in later_findings(NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2000),
    ...     count_time_s=Decimal(15)), lift_thickness_m=Decimal("0.2"))]
    ['backscatter-shallower-than-lift', 'count-time-short']
    """
    found = []
    depth_m = readings.depth_m
    if readings.mode == "direct_transmission" and depth_m is not None and depth_m > 0 and notch(depth_m) is None:
        sentence = (
            f"The rod has no notch at {depth_m * 1000:.0f} mm ({from_si(depth_m, 'in'):.1f} in.); notches lie every "
            f"inch (25 mm) from {FIRST_NOTCH} to {LAST_NOTCH} in. (50 to 300 mm). Correct the depth."
        )
        found.append(_validity("depth-not-a-notch", sentence, depth_mm=f"{depth_m * 1000:.0f}"))
    surface = readings.mode != "direct_transmission"
    if surface and lift_thickness_m is not None and lift_thickness_m > BACKSCATTER_REACH_M:
        sentence = (
            f"{readings.mode.replace('_', ' ').capitalize()} takes its reading from the top 50 to 100 mm; the lift is "
            f"{lift_thickness_m * 1000:.0f} mm thick, so its lower part is not tested. Use direct transmission."
        )
        found.append(
            _validity("backscatter-shallower-than-lift", sentence, lift_thickness_mm=f"{lift_thickness_m * 1000:.0f}")
        )
    seconds = readings.count_time_s
    if seconds is not None and 0 < seconds < USUAL_COUNT_TIME_S:
        times = (USUAL_COUNT_TIME_S / seconds).sqrt()
        sentence = (
            f"The count lasted {seconds.normalize():f} s; its chance scatter is {times:.1f} times that of one minute. "
            "Count for one minute or longer where the result is close."
        )
        found.append(Finding("count-time-short", "information", sentence, {"count_time_s": f"{seconds.normalize():f}"}))
    return found


def _surroundings(readings: NuclearGaugeReadings) -> list[Finding]:
    found = []
    wall_m, other_m = readings.wall_distance_m, readings.other_source_distance_m
    offset = trench_offset_count(readings)
    if wall_m is not None and wall_m < WALL_M and readings.trench_moisture_count is None:
        sentence = (
            f"A wall stands {wall_m * 1000:.0f} mm away, nearer than {WALL_M * 1000:.0f} mm: the water may read high. "
            "Take a moisture count on the block at the spot and enter it, or use an oven value."
        )
        found.append(_validity("wall-without-trench-count", sentence, wall_mm=f"{wall_m * 1000:.0f}"))
    if offset and not readings.trench_in_display:
        side = "high" if offset > 0 else "low"
        sentence = (
            f"The block counts {abs(offset)} {'more' if offset > 0 else 'fewer'} at the spot than in the open, and the "
            f"display does not allow for it: the water reads {side}. Set the offset in the gauge, or use an oven value."
        )
        found.append(_validity("trench-offset-not-in-display", sentence, offset_count=str(offset)))
    if other_m is not None and other_m < OTHER_SOURCE_M:
        sentence = (
            f"Another gauge was {other_m:.1f} m away, nearer than {OTHER_SOURCE_M} m: it adds to the counts. "
            "Repeat the reading further from it."
        )
        found.append(_validity("other-source-near", sentence, distance_m=f"{other_m:.1f}"))
    return found


def trench_offset_count(readings: NuclearGaugeReadings) -> int | None:
    """Moisture count on the block at the spot less the standard count in the open; None without both.

    Source: common practice (no source); ASTM D6938, section on interferences (from memory), asks for a correction.

    >>> trench_offset_count(NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2000),
    ...     moisture_standard_count=660, trench_moisture_count=684))
    24
    """
    if readings.trench_moisture_count is None or readings.moisture_standard_count is None:
        return None
    return readings.trench_moisture_count - readings.moisture_standard_count


def turned_findings(readings: NuclearGaugeReadings) -> list[Finding]:
    """ "rotated-readings-spread" where turned readings lie further apart than `TURNED_SPREAD_KGM3`.

    Source: agency practice with AASHTO T 310 (from memory).

    >>> turned_findings(NuclearGaugeReadings(mode="backscatter", wet_density_kgm3=Decimal(2000)))
    []
    """
    if not readings.rotated:
        return []
    wet = [readings.wet_density_kgm3, *(one.wet_density_kgm3 for one in readings.rotated)]
    spread = max(wet) - min(wet)
    if spread <= TURNED_SPREAD_KGM3:
        return []
    limit = TURNED_SPREAD_KGM3
    sentence = (
        f"The {len(wet)} readings of wet density lie {spread:.0f} kg/m3 ({from_si(spread, 'pcf'):.1f} pcf) apart, more "
        f"than {limit:.0f} kg/m3 ({from_si(limit, 'pcf'):.1f} pcf). Seat the gauge anew and repeat, or move the hole."
    )
    return [_validity("rotated-readings-spread", sentence, spread_kgm3=f"{spread:.1f}", limit_kgm3=f"{limit:.1f}")]
