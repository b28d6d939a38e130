"""Records of the demo's instruments, the gauges' standard counts, and the certificates of whoever uses them."""

import math
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any, Final

from compaction.demo import site
from compaction.demo.instruments import STANDARD_COUNTS, standard_counts
from compaction.demo.scene import Scene
from compaction.demo.working_days import clock

HALF_LIFE_DAYS: Final = 30.2 * 365.25  # caesium 137 (from memory)
KEEPERS: Final = {"TG-0417": "n.tarrow", "TG-0892": "j.obrecht"}
SAND: Final = "SA-21"
#: working days on which the sand is weighed into its measure again, and what was found, g/cm3. The first try of the
#: ninth day scatters too much and is repeated.
SAND_RECORDS: Final = (
    (9, ("1.409", "1.427", "1.448")),
    (9, ("1.426", "1.428", "1.427")),
    (18, ("1.427", "1.426", "1.428")),
)
COUNTED_AT, REPEATED_AT, STABILITY_AT = clock(7, 8), clock(7, 22), clock(7, 0)
OFF_DAY, OFF_GAUGE, OFF_COUNT = 8, "TG-0892", 2961
SAND_CONE_EXPIRED_DAY: Final = 13


def records(first_day: date) -> dict[str, dict[str, Any]]:
    """Serial number -> first record: gauges, cone with plate, sand, and what stands in the laboratory."""
    certified = date(first_day.year - 1, 11, 20)
    return {
        "TG-0417": _gauge("TG-0417", "Gauge of the south crew", certified, first_day),
        "TG-0892": _gauge("TG-0892", "Gauge of the north crew", certified, first_day),
        "SC-3": {
            "kind": "sand_cone",
            "name": "Sand cone with plate 3",
            "valid_from": first_day.isoformat(),
            "calibrations": [
                {"quantity": "cone_and_plate_mass", "repeats": [f"{site.CONE_G + off} g" for off in (-2, 3, -1)]}
            ],
        },
        SAND: _sand(first_day, ("1.428", "1.427", "1.426")),
        "BAL-2": {
            "kind": "balance",
            "name": "Field balance, 20 kg by 1 g",
            "valid_from": (first_day - timedelta(days=120)).isoformat(),
            "interval_days": 163,
            "check_masses": [{"nominal": "1000 g", "shown": "1000 g"}, {"nominal": "5000 g", "shown": "5002 g"}],
        },
        "OV-1": {
            "kind": "oven",
            "name": "Drying oven of the site laboratory",
            "valid_from": (first_day - timedelta(days=60)).isoformat(),
            "interval_days": 365,
        },
        "MD-4": {
            "kind": "mould",
            "name": "4-inch mould",
            "valid_from": (first_day - timedelta(days=370)).isoformat(),
            "interval_days": 365,
            "calibrations": [
                {
                    "quantity": "mould_volume",
                    "weighings": [
                        {"empty": "4231.6 g", "full": full, "temperature": "22.0 degC"}
                        for full in ("5172.7 g", "5173.6 g", "5173.1 g")
                    ],
                }
            ],
        },
    }


def _gauge(serial: str, name: str, certified: date, first_day: date) -> dict[str, Any]:
    density, moisture = STANDARD_COUNTS[serial]
    days = (first_day - certified).days
    # The certificate's count is today's brought back by decay, and a little beside it.
    certificate = round(density * math.exp(math.log(2) * days / HALF_LIFE_DAYS)) + 4
    return {
        "kind": "nuclear_gauge",
        "name": name,
        "valid_from": certified.isoformat(),
        "valid_until": date(first_day.year + 1, 11, 20).isoformat(),
        "standard_counts": {
            "certificate_on": certified.isoformat(),
            "certificate_density_count": certificate,
            "certificate_moisture_count": moisture,
            "interval_days": 7,
            "source": "quality plan of the project: a count every morning, one a week at the least (invented)",
        },
        "upkeep": [
            _upkeep("leak_test", first_day - timedelta(days=140), 182),
            _upkeep("inventory", first_day - timedelta(days=40), 182),
        ],
    }


def _upkeep(what: str, done_on: date, days: int) -> dict[str, str]:
    return {"what": what, "done_on": done_on.isoformat(), "due_on": (done_on + timedelta(days=days)).isoformat()}


def _sand(day: date, repeats: tuple[str, ...]) -> dict[str, Any]:
    return {
        "kind": "sand",
        "name": "Silica sand, 20 to 30 mesh, pallet 21",
        "belongs_to": "SC-3",
        "valid_from": day.isoformat(),
        "interval_days": 14,
        "calibrations": [{"quantity": "sand_bulk_density", "repeats": [f"{text} g/cm3" for text in repeats]}],
    }


def keep(scene: Scene) -> None:
    """Everything that comes after the first records: sand, counts of every morning, certificates."""
    for rev, (day, repeats) in enumerate(SAND_RECORDS, start=2):
        moment = scene.moment(day, clock(6, 30) + rev)
        body = _sand(scene.days[day], repeats)
        scene.send(moment, site.SUPERVISOR, "apparatus", (SAND, rev), body, subject=SAND, rev=rev)
    for serial in KEEPERS:
        for day in range(1, len(scene.days)):
            _count_of_day(scene, serial, day)
    _stability(scene)
    for number, body in enumerate(_certificates(scene)):
        scene.send(scene.moment(0, clock(11) + number), site.SUPERVISOR, "certificate", number, body)


def _count_of_day(scene: Scene, serial: str, day: int) -> None:
    at, told = COUNTED_AT, {}
    if (serial, day) == (OFF_GAUGE, OFF_DAY):
        off = {"remarks": "The other gauge stood in the same pickup bed."}
        _count(scene, serial, day, at, (OFF_COUNT, STANDARD_COUNTS[serial][1]), off)
        at, told = REPEATED_AT, {"remarks": "Repeated, 15 m from the trucks."}
    _count(scene, serial, day, at, standard_counts(serial, day), told)


def _count(scene: Scene, serial: str, day: int, minutes: int, counts: tuple[int, int], more: Mapping[str, str]) -> None:
    taken = scene.moment(day, minutes)
    body = {
        "serial": serial,
        "taken_at": taken.isoformat(),
        "density_counts": [counts[0]],
        "moisture_counts": [counts[1]],
        "count_time": "4 min",
        "person": KEEPERS[serial],
        **more,
    }
    scene.send(taken + timedelta(minutes=5), KEEPERS[serial], "count", (serial, day, minutes), body)


def _stability(scene: Scene) -> None:
    dice = scene.dice("stability")
    density, moisture = STANDARD_COUNTS["TG-0417"]
    taken = scene.moment(1, STABILITY_AT)
    body = {
        "serial": "TG-0417",
        "purpose": "stability",
        "taken_at": taken.isoformat(),
        "density_counts": [round(dice.gauss(density, math.sqrt(density))) for _ in range(16)],
        "moisture_counts": [round(dice.gauss(moisture, math.sqrt(moisture))) for _ in range(16)],
        "count_time": "1 min",
        "person": KEEPERS["TG-0417"],
    }
    scene.send(taken + timedelta(minutes=4), KEEPERS["TG-0417"], "count", "stability", body)


def _certificates(scene: Scene) -> list[dict[str, str]]:
    first = scene.days[0]
    began, ends = first - timedelta(days=400), first + timedelta(days=500)
    period = {"valid_from": began.isoformat(), "valid_until": ends.isoformat()}
    technicians = [person.username for person in site.PEOPLE if person.role == "technician"]
    found = []
    for number, name in enumerate(technicians):
        issued = {"person": name, "issuer": "Soil technicians' board (invented)", "number": f"D-{4100 + 17 * number}"}
        found.append({**issued, **period, "subject": "nuclear_gauge"})
        found.append({**issued, **period, "subject": "radiation_safety", "number": f"R-{600 + number}"})
        until = scene.days[SAND_CONE_EXPIRED_DAY].isoformat() if name == "p.quillane" else period["valid_until"]
        found.append({**issued, **period, "subject": "sand_cone", "valid_until": until})
    return found
