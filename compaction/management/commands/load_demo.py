"""`manage.py load_demo`: the demo project, played once through the same actions as everything else."""

import json
import secrets
import time
from collections import Counter
from datetime import UTC, datetime, timedelta
from itertools import groupby
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.models import Permission
from django.core.management.base import BaseCommand
from django.db import transaction

from compaction.demo import fieldwork, instruments, site, working_days
from compaction.demo.scenario import Scenario, build
from compaction.management.demo_player import Player
from projects.models import Project, Role, User

#: for passwords that can be typed on a phone: four words and a number, about 33 bits
WORDS = (
    "amber", "anvil", "aspen", "badge", "basin", "birch", "brick", "brook", "cable", "cedar", "chalk", "clamp",
    "cliff", "cobalt", "copper", "coral", "cotton", "crane", "dune", "ember", "fennel", "ferry", "flint", "gravel",
    "harbor", "hazel", "heron", "indigo", "iron", "juniper", "kettle", "ladder", "lantern", "lime", "linen", "maple",
    "marble", "meadow", "mortar", "nickel", "oak", "olive", "otter", "paddle", "pebble", "pepper", "pine", "plume",
    "quarry", "reed", "ridge", "river", "rope", "saddle", "sage", "shale", "silver", "slate", "spruce", "thistle",
    "timber", "umber", "velvet", "willow",
)  # fmt: skip


class Command(BaseCommand):
    help = "Load the demo project, once. Shows progress and leaves accounts and a device key in the data folder."

    def handle(self, **_: Any) -> None:
        if Project.objects.filter(code=site.CODE).exists():
            self.stdout.write(f"The demo project {site.CODE} is here already; nothing to do.")
            return
        started, now = time.monotonic(), datetime.now(UTC)
        scenario = build(today=working_days.loading_day(now))
        with transaction.atomic():  # all or nothing: an interrupted load starts afresh next time
            users, accounts = _accounts()
            player = Player(scenario, users)
            self._play(player)
            player.now = now
            device_key = player.key(_first_technician(), "Demo device")
            _write_notice(accounts=accounts, device_key=device_key, body=_ready_test(now))
        self._say_what_is_here(scenario, time.monotonic() - started)

    def _play(self, player: Player) -> None:
        scenario = player.scenario
        for number, (day, events) in enumerate(groupby(scenario.events, lambda event: event.at.date())):
            kinds: Counter[str] = Counter()
            for event in events:
                player.play(event)
                kinds[event.kind] += 1
            player.catch_up()
            self.stdout.write(
                f"  day {number + 1:2d} of {len(scenario.days)}, {day:%a %b %d}: {kinds['placement']} placements, "
                f"{kinds['test']} tests, {kinds['rework']} reworks, {kinds['amendment']} amendments"
            )
            self.stdout.flush()

    def _say_what_is_here(self, scenario: Scenario, seconds: float) -> None:
        self.stdout.write(f"Demo: {len(scenario.tests)} tests in {seconds:.0f} s. Stories to look up by test number:")
        for name, tests in sorted(scenario.stories.items(), key=lambda item: item[1][0].performed_at):
            self.stdout.write(f"  {name.replace('-', ' ')}: {', '.join(test.name for test in tests)}")


def _accounts() -> tuple[dict[str, User], list[dict[str, str]]]:
    """The people of the demo; whoever has an account already keeps it with its password."""
    users: dict[str, User] = {}
    accounts = []
    for person in site.PEOPLE:
        user = User.objects.filter(username=person.username).first()
        password = "(as it was)"
        if user is None:
            password = f"{'-'.join(secrets.choice(WORDS) for _ in range(4))}-{secrets.randbelow(900) + 100}"
            user = User.objects.create_user(
                person.username, password=password, first_name=person.first_name, last_name=person.last_name
            )
            if person.role == Role.ADMINISTRATOR:
                # So that a newcomer can try how a project of one's own is opened.
                user.user_permissions.add(Permission.objects.get(codename="add_project"))
        users[person.username] = user
        accounts.append({"username": person.username, "password": password, "role": person.role})
    return users, accounts


def _first_technician() -> str:
    return site.SECTIONS["B"].technician


def _ready_test(now: datetime) -> dict[str, Any]:
    """A passing gauge test on today's lift, made five minutes ago: what the printed `curl` sends."""
    section, lift, station_ft = site.SECTIONS["B"], site.LIFTS, 2350
    dry, water = fieldwork.target(
        fieldwork.newest_soil(site.soil_code("B", lift)), percent=97.0, deviation=0.3, oversize_pct=None
    )
    shown = instruments.gauge(serial=section.gauge, day=working_days.FULL_DAYS + 1, dry_pcf=dry, water_pct=water)
    performed = now.astimezone(site.ZONE).replace(second=0, microsecond=0) - timedelta(minutes=5)
    return {
        "performed_at": performed.isoformat(),
        "label": "900",
        "technician": section.technician,
        "purpose": "acceptance",
        **shown.members,
        "reference": site.soil_code("B", lift),
        "reference_basis": "visual",
        "position": {
            "alignment": "dike",
            "station": "23+50",
            "offset": "3 L",
            "elevation": f"{site.top_ft(lift, station_ft):.2f} ft",
            "elevation_from": "level",
        },
        "lift": lift,
        "lift_thickness": "8 in",
    }


def _write_notice(*, accounts: list[dict[str, str]], device_key: str, body: dict[str, Any]) -> None:
    """What `serve` shows, for the owner of the data folder only: it holds passwords and a key."""
    file = Path(settings.DATA_FOLDER) / "demo.json"
    file.touch(mode=0o600)
    file.chmod(0o600)
    notice = {"project": site.CODE, "accounts": accounts, "device_key": device_key, "curl_body": body}
    file.write_text(json.dumps(notice, ensure_ascii=False, indent=1), encoding="utf-8")
