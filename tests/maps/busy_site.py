"""A site with two lifts, every mark and some unfriendly texts, made through actions. Values are invented."""

import random
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

from compaction.actions import failures, place, placements, references, sweep, voids
from compaction.models import Failure
from compaction.queries import set_up
from tests.builders import NOW, PROCTOR, Site, failing_body, gauge_body, make_project

#: Each ran as code in a map drawn with texts, some of them after escaping.
HOSTILE = (
    "<img src=x onerror=window.ran=1>",
    "</script><script>window.ran=2</script>",
    "${window.ran=3}",
    "`+(window.ran=4)+`",
    "</title><script>window.ran=5</script>",
    "'\"><svg onload=window.ran=6>",
    "&lt;img src=x onerror=window.ran=7&gt;",
    "javascript:window.ran=8//",
)
BEND = {
    "kind": "pi_table",
    "unit": "ft",
    "coordinate_unit": "ft",
    "start_station": "1000",
    "pis": [
        {"point": ["1640419.95", "1968503.94"]},
        {"point": ["1641400", "1968900"], "radius": "1200"},
        {"point": ["1642400", "1968700"]},
    ],
}


def at(day: int, hour: int, minute: int = 0) -> str:
    return f"2026-06-{day:02d}T{hour:02d}:{minute:02d}:00-06:00"


def position(station: str, offset: str) -> dict[str, str]:
    return {
        "alignment": "main",
        "station": station,
        "offset": offset,
        "elevation": "5100.5 ft",
        "elevation_from": "level",
    }


def _stations(lift: int) -> Iterator[tuple[str, str]]:
    for number in range(24):
        along = 1020 + 40 * (number // 2) + (lift % 2) * 15
        yield f"{along // 100}+{along % 100:02d}", f"{18 + number % 3 * 4} {'L' if number % 2 else 'R'}"


def make_busy_site(*, epsg_code: int | None = None, hostile: bool = False) -> Site:
    """Lifts 3 and 4 with 24 tests each, then a failure of each kind of ending, a hold, a void, an exempt area."""
    set_up.forget()
    site = make_project(epsg_code=epsg_code)
    later = NOW + timedelta(days=2)
    references.issue(opened=site.opened("l.finch"), code="P-2", rev=1, body=PROCTOR, now=NOW)  # not approved
    chance = random.Random(20260603)
    if epsg_code:
        place.issue_alignment(opened=site.opened(), code="main", rev=2, name="Dike baseline", content=BEND, now=NOW)
    place.issue_area(
        opened=site.opened(),
        code="outlet",
        rev=1,
        name=HOSTILE[0] if hostile else "outlet works",
        kind="exempt",
        reason="concrete",
        content={
            "alignment": "main",
            "station_from_m": "375",
            "station_to_m": "392",
            "offset_from_m": "-30",
            "offset_to_m": "30",
        },
        now=NOW,
    )
    site.now = datetime(2026, 6, 6, 18, 0, tzinfo=UTC)
    for lift, day in ((3, 1), (4, 3)):
        for part, (begin, end) in enumerate((("10+00", "12+30"), ("12+90", "15+00"))):
            placements.record(
                opened=site.opened("m.dale"),
                client_uuid=uuid.uuid4(),
                body={
                    "area": "core",
                    "lift": lift,
                    "placed_at": at(day, 6 + part),
                    "alignment": "main",
                    "station_from": begin,
                    "station_to": end,
                    "offset_from": "40 L",
                    "offset_to": "40 R",
                },
                now=later,
            )
        for number, (station, offset) in enumerate(_stations(lift)):
            body = gauge_body(
                label=f"{lift}{number + 1:02d}",
                performed_at=at(day + number // 12, 8 + number % 12 // 2, 30 * (number % 2)),
                lift=lift,
                position=position(station, offset),
            )
            wet = 121.0 + chance.random() * 3.5
            body["readings"] = {**body["readings"], "wet_density": f"{wet:.1f} pcf"}
            if hostile and number < len(HOSTILE):
                body["label"] = HOSTILE[number][:40]
                body["remarks"] = HOSTILE[number]
                body["soil"] = HOSTILE[number]
            site.post(body)
    _endings(site)
    sweep.run_until_idle()
    return site


def _fail(site: Site, label: str, station: str, **changes: Any) -> uuid.UUID:
    key = uuid.uuid4()
    values = {"performed_at": at(4, 14), "lift": 4, "position": position(station, "2 R"), **changes}
    site.post(failing_body(label=label, **values), id_=key)
    return key


def _endings(site: Site) -> None:
    """Open; passed on retest beside; failed again; accepted; voided; held; buried by a later lift."""
    _fail(site, "451", "10+60")
    mended = _fail(site, "452", "11+10")
    site.post(gauge_body(label="452A", retest_of=str(mended), performed_at=at(5, 9), position=position("11+22", "6 R")))
    twice = _fail(site, "453", "11+60")
    site.post(
        failing_body(label="453A", retest_of=str(twice), performed_at=at(5, 10), position=position("11+60", "2 R"))
    )
    accepted = _fail(site, "454", "12+10")
    voided = uuid.uuid4()
    site.post(gauge_body(label="455", performed_at=at(6, 8), position=position("13+20", "5 L")), id_=voided)
    voids.ask(
        opened=site.opened("t.moss"),
        test_uuid=voided,
        client_uuid=uuid.uuid4(),
        body={"reason_code": "entered-twice", "reason": "sent from two phones"},
        now=site.now,
    )
    held = gauge_body(label="456", performed_at=at(5, 11), position=position("13+60", "5 L"))
    held["readings"] = {**held["readings"], "wet_density": "142.0 pcf"}
    site.post(held)
    _fail(site, "351", "14+10", lift=3, performed_at=at(2, 15))
    provisional = gauge_body(label="457", performed_at=at(5, 12), position=position("14+50", "5 L"), reference="P-2")
    site.post(provisional)
    sweep.run_until_idle()
    failure = Failure.objects.get(project=site.project, root_test=accepted, kind="density")
    failures.close(
        opened=site.opened(),
        failure_uuid=failure.uuid,
        client_uuid=uuid.uuid4(),
        body={
            "meaning": "accepted_as_is",
            "reason_code": "engineer-judgement",
            "reason": "one corner of the ramp, no load",
            "basis_digest": failure.chain_digest,
        },
        now=site.now,
    )
