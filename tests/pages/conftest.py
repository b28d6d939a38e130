"""A site with something on every page, and people who look at it."""

import uuid
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from django.test import Client

from compaction.actions import sweep
from compaction.queries import set_up
from projects.models import Project
from tests.builders import NOW, Site, failing_body, gauge_body, make_project, sand_cone_body
from tests.kept_rows import made_once

PASSING, FAILING, CONE = (uuid.UUID(int=number) for number in (1, 2, 3))


@dataclass
class Filled:
    """The site with one passing test, one failing test and one sand cone."""

    site: Site
    passing: uuid.UUID = PASSING
    failing: uuid.UUID = FAILING
    cone: uuid.UUID = CONE

    @property
    def root(self) -> str:
        return f"/p/{self.site.project.code}/"


@pytest.fixture
def filled(db: None) -> Filled:
    set_up.forget()  # projects of different tests come and go under the same numbers
    made_once("filled", _fill)
    return Filled(Site(Project.objects.get(), NOW))


def _fill() -> None:
    site = make_project()
    told = {"person": "B. Marsh", "at": "2026-06-03T09:20:00-06:00", "how": "spoken"}
    site.post(gauge_body(notified=told), id_=PASSING)
    site.post(failing_body(label="102"), id_=FAILING)
    site.post(sand_cone_body(position={"alignment": "main", "station": "14+00", "offset": "10 R"}), id_=CONE)
    sweep.run_until_idle()


@pytest.fixture
def sign_in(db: None) -> Callable[[str], Client]:
    """A browser in which a person of the cast has signed in."""

    def signed_in(username: str) -> Client:
        from projects.models import User

        client = Client()
        client.force_login(User.objects.get(username=username))
        return client

    return signed_in
