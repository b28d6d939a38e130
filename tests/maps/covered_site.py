"""A site on which every state of a lift can be seen: asked for one test in 100 ft of a lift. Values are invented."""

import uuid
from typing import Any

from compaction.actions import placements, specifications, sweep
from compaction.queries import set_up
from tests.builders import NOW, SPECIFICATION, Site, failing_body, gauge_body, make_project
from tests.maps.busy_site import at, position

RULE = {
    "name": "embankment",
    "counters": [{"basis": "length", "interval": "100 ft"}],
    "clause": "One test in each 100 feet of a lift.",
}


def place(
    site: Site, lift: int, day: int, *, area: str = "core", stations: tuple[str, str] = ("10+00", "14+00"), **more: Any
) -> None:
    body = {
        "area": area, "lift": lift, "placed_at": at(day, 6), "alignment": "main", "station_from": stations[0],
        "station_to": stations[1], "offset_from": "30 L", "offset_to": "30 R", "thickness": "8 in",
        "elevation_top": f"{5100 + lift * 0.7:.1f} ft", **more,
    }  # fmt: skip
    placements.record(opened=site.opened("m.dale"), client_uuid=uuid.uuid4(), body=body, now=site.now)


def passes(site: Site, lift: int, day: int, *stations: str) -> None:
    for number, station in enumerate(stations):
        where = {**position(station, "5 L"), "elevation": f"{5100 + lift * 0.7:.1f} ft"}
        site.post(
            gauge_body(label=f"{lift}{number:02d}", lift=lift, performed_at=at(day, 9, number * 5), position=where)
        )


def make_covered_site(*, rule: dict[str, Any] = RULE, epsg_code: int | None = None) -> Site:
    """Lift 1 released (4 of 4), 2 failed and buried, 3 short (2 of 4) and placed over it, 4 open (0 of 4)."""
    set_up.forget()
    site = make_project(epsg_code=epsg_code)
    site.now = NOW.replace(day=9)
    specifications.issue(
        opened=site.opened("m.dale"), code="S-1", rev=2, now=NOW,
        body={**SPECIFICATION, "frequency": [rule], "reach": "all"},
    )  # fmt: skip
    specifications.approve(
        opened=site.opened(), code="S-1", rev=2, client_uuid=uuid.uuid4(), body={"reason": "as contract"}, now=NOW
    )
    place(site, 1, 1)
    passes(site, 1, 1, "10+50", "11+50", "12+50", "13+50")
    place(site, 2, 2)
    passes(site, 2, 2, "10+50", "11+50", "12+50")
    where = {**position("13+50", "5 L"), "elevation": "5101.4 ft"}
    site.post(failing_body(label="299", lift=2, performed_at=at(2, 10), position=where))
    place(site, 3, 3)
    passes(site, 3, 3, "10+50", "12+50")
    place(site, 4, 4)
    sweep.run_until_idle()
    return site
