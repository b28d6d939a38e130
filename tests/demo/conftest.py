"""The demo loaded once for the whole module: rows of this folder are read only."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import pytest
from django.db import transaction

from compaction.demo import site
from compaction.demo.scenario import Scenario, build
from compaction.management.demo_player import Player
from compaction.queries import set_up
from projects.access import Open
from projects.models import User

TODAY = date(2026, 6, 10)


@dataclass(frozen=True)
class Loaded:
    scenario: Scenario
    player: Player

    @property
    def opened(self) -> Open:
        self.player.now = self.scenario.ends_at
        return self.player.opened(site.ENGINEER)


def play(scenario: Scenario) -> Player:
    """Every event of a scenario, in order."""
    set_up.forget()
    users = {person.username: User.objects.create_user(person.username, password="p") for person in site.PEOPLE}
    player = Player(scenario, users)
    for event in scenario.events:
        player.play(event)
    player.catch_up()
    return player


@pytest.fixture(scope="session")
def scenario() -> Scenario:
    return build(today=TODAY)


@pytest.fixture(scope="module")
def loaded(scenario: Scenario, django_db_setup: None, django_db_blocker: pytest.FixtureRequest) -> Iterator[Loaded]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield Loaded(scenario, play(scenario))
        transaction.set_rollback(True)
    set_up.forget()
