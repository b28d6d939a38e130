"""Simulated crew-days of honest people, of several kinds; and what one may plant in them."""

import random
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from compaction.evaluation.supervision.facts import DayTest
from compaction.evaluation.supervision.figures import cans_of, figures_of
from compaction.evaluation.supervision.pace import least_minutes

MORNING = datetime(2026, 6, 3, 13, 0, tzinfo=UTC)
KINDS_OF_DAY = ("gauge", "gauge with counts", "sand cone")


def sheet(kind: str, rng: random.Random, *, density_spread: float, water_spread: float) -> dict[str, Any]:
    """What one honest test writes down. Density in pcf; what goes with the density goes up and down with it."""
    wet, water = rng.gauss(122.0, density_spread), rng.gauss(15.0, water_spread)
    if kind == "sand cone":
        hole = rng.gauss(1.0, 0.04)
        return {
            "readings": {
                "mass_before": "6800 g",
                "mass_after": f"{2900 - 2000 * (hole - 1):.0f} g",
                "soil_wet_mass": f"{3290 * hole * wet / 122:.0f} g",
            },
            "water_contents": [
                {
                    "cans": [
                        {
                            "can": f"A{rng.randrange(10_000)}",
                            "can_mass": f"{rng.gauss(31, 0.8):.2f} g",
                            "wet_and_can": f"{rng.gauss(180, 12):.1f} g",
                        }
                    ]
                }
            ],
        }
    readings: dict[str, Any] = {"wet_density": f"{wet:.1f} pcf", "water_content": f"{water:.1f} %"}
    if kind == "gauge with counts":
        readings["density_count"] = round(1500 * (1 - 0.012 * (wet - 122)) + rng.gauss(0, 10))
        readings["moisture_count"] = round(150 * (1 + 0.06 * (water - 15)) + rng.gauss(0, 3))
    return {"readings": readings}


def test_of(content: Mapping[str, Any], *, number: int, kind: str, at: datetime, **more: Any) -> DayTest:
    """A test as the day's query would hand it over."""
    method = "sand_cone" if kind == "sand cone" else "nuclear_gauge"
    return DayTest(
        uuid=f"uuid-{number}",
        label=str(100 + number),
        crew="t.moss",
        method=method,
        performed_at=at,
        reference="P-1",
        figures=figures_of(content),
        cans=cans_of(content),
        gauge="" if method == "sand_cone" else "G-1187",
        least_minutes=least_minutes(method),
        **more,
    )


test_of.__test__ = False  # type: ignore[attr-defined]


def crew_day(rng: random.Random) -> list[DayTest]:
    """An honest day: 3 to 18 tests, spreads from the least upwards, times to a minute or to five."""
    kind = rng.choice(KINDS_OF_DAY)
    spreads = {"density_spread": rng.uniform(1.0, 4.0), "water_spread": rng.uniform(0.5, 2.0)}
    write_to = rng.choice((1, 5))
    at, place, found = MORNING, 0.0, []
    for number in range(rng.randint(3, 8 if kind == "sand cone" else 18)):
        usual = 28.0 if kind == "sand cone" else 6.0
        at += timedelta(minutes=usual * rng.lognormvariate(0.0, 0.25) + rng.expovariate(1 / 4))
        way = rng.uniform(10, 150)
        place += way
        at += timedelta(seconds=way / 1.5)
        written = at.replace(second=0, microsecond=0)
        written -= timedelta(minutes=written.minute % write_to)
        found.append(
            test_of(
                sheet(kind, rng, **spreads),
                number=number,
                kind=kind,
                at=written,
                place_m=(place, 0.0),
                percent_compaction=rng.gauss(97.0, 2.5),
            )
        )
    return found
