"""The set-up of the project, and the two revisions of references that come later."""

from collections.abc import Mapping
from typing import Any, Final

from compaction.demo import haul_road, instrument_papers, laboratory, site
from compaction.demo.scene import APPROVED_AT, CLAY_APPROVED_DAY, SAND_APPROVED_DAY, SAND_FROM_DAY, Scene
from compaction.demo.working_days import clock
from compaction.records.specification_drafts import DRAFTS

STARTS: Final = clock(7)
#: what a revision is approved on: (code, revision) -> (day it is entered, minute, day of approval, reason)
REVISIONS: Final = {
    ("P-101", 2): (
        CLAY_APPROVED_DAY - 1,
        clock(15, 30),
        CLAY_APPROVED_DAY,
        "Certificate of the mould seen; the five points were worked out again by hand.",
    ),
    ("P-102", 2): (
        SAND_APPROVED_DAY - 1,
        clock(14),
        SAND_APPROVED_DAY,
        "Sample taken from the face now being dug; governs from the day that face was opened.",
    ),
}


def set_up(scene: Scene) -> None:
    """Alignment, areas, apparatus, references and specifications of the first morning, each approved by a second."""
    minute = iter(range(STARTS + 10, STARTS + 200, 3))
    bodies = site.references(scene.days[SAND_FROM_DAY])

    def send(by: str, kind: str, subject: str, body: Mapping[str, Any], rev: int = 1) -> None:
        scene.send(scene.moment(0, next(minute)), by, kind, (subject, rev), body, subject=subject, rev=rev)

    send(site.ADMINISTRATOR, "alignment", "dike", {"name": "Dike centre line", "content": site.ALIGNMENT})
    road = {"name": haul_road.NAME, "content": haul_road.content()}
    scene.send(
        scene.moment(0, STARTS + 8), site.ADMINISTRATOR, "alignment", (haul_road.CODE, 1), road,
        subject=haul_road.CODE, rev=1,
    )  # fmt: skip
    for code, (name, kind, content) in site.AREAS.items():
        send(site.ADMINISTRATOR, "area", code, {"name": name, "kind": kind, "content": content})
    for serial, record in instrument_papers.records(scene.days[0]).items():
        send(site.SUPERVISOR, "apparatus", serial, record)
    instrument_papers.keep(scene)
    for code, sample in laboratory.SAMPLES.items():
        send(site.LABORATORY, "sample", code, sample)
    for code in ("P-101", "P-102", "P-103"):
        send(site.LABORATORY, "reference", code, bodies[code, 1])
        send(site.ENGINEER, "reference_approved", code, {"reason": "Points, curve and zero air voids looked at."})
    for code, specification in site.SPECIFICATIONS.items():
        send(site.MANAGER, "specification", code, specification)
        send(site.ENGINEER, "specification_approved", code, {"reason": "As in the contract, read against it."})
    send(site.MANAGER, "specification", "T-1", DRAFTS["trench"].body)  # waits for the contract's edition and clauses
    for (code, rev), (day, entered, approved_day, reason) in REVISIONS.items():
        more = {"subject": code, "rev": rev}
        scene.send(scene.moment(day, entered), site.LABORATORY, "reference", (code, rev), bodies[code, rev], **more)
        scene.send(
            scene.moment(approved_day, APPROVED_AT),
            site.ENGINEER,
            "reference_approved",
            (code, rev),
            {"reason": reason},
            **more,
        )
