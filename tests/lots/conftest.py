"""A site with bodies of lots, and tests whose percent compaction is told."""

import uuid
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from compaction.actions import lots, references, sweep
from compaction.actions.revisions import Issued
from compaction.queries import set_up
from compaction.queries.lots import LotStory, lot_story
from projects import access
from tests.builders import NOW, Site, gauge_body, make_project

RULE = {
    "statistic": "average_with_minimum",
    "quantity": "percent_compaction",
    "minimum": "95 %",
    "each_minimum": "93 %",
}


def lot_body(**changes: Any) -> dict[str, Any]:
    return {"title": "Core, lifts 4 to 6", "zone": "core", "lift_from": 4, "lift_to": 6, "rules": [RULE], **changes}


def transcribed(percent: str, *, minutes: int = 60, **changes: Any) -> dict[str, Any]:
    """A test of exactly that percent of 100 pcf (reference P-100), so many minutes after the site's now."""
    body = gauge_body(**changes)
    body["performed_at"] = (NOW + timedelta(minutes=minutes)).isoformat()
    body["method"] = "transcribed"
    body["readings"] = {"dry_density": f"{percent} pcf", "water_content": "15.0 %"}
    body["reference"] = changes.get("reference", "P-100")
    return body


class Lots:
    """A site on which lots are declared now and tests are made later."""

    def __init__(self, site: Site) -> None:
        self.site = site

    def declare(self, code: str = "L-1", rev: int = 1, *, at: datetime | None = None, **changes: Any) -> Issued:
        done = lots.declare(
            opened=self.site.opened("m.dale"), code=code, rev=rev, body=lot_body(**changes), now=at or self.site.now
        )
        self.sweep()
        return done

    def post(self, percent: str, minutes: int = 60, **changes: Any) -> str:
        before, self.site.now = self.site.now, NOW + timedelta(minutes=minutes + 1)
        done = self.site.post(transcribed(percent, minutes=minutes, **changes))
        self.site.now = before
        self.sweep()
        return str(done.test.client_uuid)

    def sweep(self) -> None:
        sweep.run_until_idle()

    def story(self, code: str = "L-1") -> LotStory:
        found = lot_story(self.site.opened(), code)
        assert found is not None
        return found

    def reasons(self, code: str = "L-1") -> dict[str, str]:
        return {one["label"]: one["reason"] for one in self.story(code).content["members"]}

    def figures(self, code: str = "L-1", rule: int = 0) -> dict[str, Decimal]:
        return {name: Decimal(text) for name, text in self.story(code).content["verdicts"][rule]["figures"].items()}


@pytest.fixture
def site(db: None) -> Site:
    set_up.forget()
    access._rosters.clear()
    return make_project()


def add_reference(site: Site, code: str, maximum: str) -> None:
    body = {"soil": "x", "method": "D698-A", "maximum_dry_density": maximum, "optimum_water_content": "15.0 %"}
    references.issue(opened=site.opened("l.finch"), code=code, rev=1, body=body, now=site.now)
    seen = {"reason": "seen"}
    references.approve(opened=site.opened(), code=code, rev=1, client_uuid=uuid.uuid4(), body=seen, now=site.now)


@pytest.fixture
def on_site(site: Site) -> Lots:
    add_reference(site, "P-100", "100.0 pcf")
    return Lots(site)
