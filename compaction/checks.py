"""What `manage.py check` says about this installation: a stable id, what is wrong, what to do."""

import stat
from collections.abc import Iterable
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.db import connections

from projects import append_only

SECRET_KEY_LENGTH = 40
LOOPBACK = {"127.0.0.1", "localhost", "[::1]", "testserver"}


@register(Tags.security)
def safety(**_: Any) -> list[CheckMessage]:
    """Secret key, debug mode, host names, data folder."""
    found: list[CheckMessage] = []
    if len(settings.SECRET_KEY) < SECRET_KEY_LENGTH:
        found.append(
            Error(
                f"The secret key has {len(settings.SECRET_KEY)} characters; below {SECRET_KEY_LENGTH} it is weak.",
                hint="Leave LIFTLEDGER_SECRET_KEY out (one is made in the data folder) or write a longer one.",
                id="liftledger.E001",
            )
        )
    if settings.DEBUG:
        found.append(
            Warning(
                "Debug mode is on: error pages show settings and readings to anyone.",
                hint="Leave LIFTLEDGER_DEBUG out except on your own machine.",
                id="liftledger.W002",
            )
        )
    if "*" in settings.ALLOWED_HOSTS:
        found.append(
            Error(
                "LIFTLEDGER_ALLOWED_HOSTS allows any host name; links in mails could then point anywhere.",
                hint="Name the hosts under which people reach this service.",
                id="liftledger.E003",
            )
        )
    elif not settings.BEHIND_TLS and set(settings.ALLOWED_HOSTS) - LOOPBACK:
        found.append(
            Warning(
                "The service is reachable from other machines without TLS: passwords and keys travel readable.",
                hint='Put a TLS proxy in front and set LIFTLEDGER_BEHIND_TLS=yes (README, "On a server").',
                id="liftledger.W004",
            )
        )
    if settings.DATA_FOLDER.stat().st_mode & (stat.S_IRWXO):
        found.append(
            Warning(
                f"Other users of this machine may enter the data folder {settings.DATA_FOLDER}.",
                hint="chmod 700 on it.",
                id="liftledger.W005",
            )
        )
    return found


@register()
def addresses(**_: Any) -> list[CheckMessage]:
    """Broker and tile server."""
    found: list[CheckMessage] = []
    if settings.CELERY_BROKER_URL and urlsplit(settings.CELERY_BROKER_URL).scheme not in {"redis", "rediss", "unix"}:
        scheme = urlsplit(settings.CELERY_BROKER_URL).scheme
        found.append(
            Error(
                f"LIFTLEDGER_BROKER_URL begins with {scheme!r}; only Redis is served.",
                hint="Write redis://host:6379/0, or leave it out: the sweep then works without a broker.",
                id="liftledger.E006",
            )
        )
    tiles = settings.TILE_URL
    if tiles and not (
        urlsplit(tiles).scheme in {"http", "https"} and all(part in tiles for part in ("{z}", "{x}", "{y}"))
    ):
        found.append(
            Error(
                f"LIFTLEDGER_TILE_URL is {tiles!r}; it must be an address with {{z}}, {{x}} and {{y}} in it.",
                hint="For example https://tiles.example.org/{z}/{x}/{y}.png; leave it out for a map without a basemap.",
                id="liftledger.E007",
            )
        )
    return found


@register(Tags.database)
def databases(*, databases: Iterable[str] | None, **_: Any) -> list[CheckMessage]:
    """Write-ahead log on SQLite; the triggers that keep append-only tables append-only."""
    found: list[CheckMessage] = []
    for alias in databases or ():
        connection = connections[alias]
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute("PRAGMA journal_mode")
                mode = cursor.fetchone()[0]
                if mode != "wal":
                    found.append(
                        Warning(
                            f"SQLite keeps its journal as {mode!r}, not 'wal': long reports will block posted tests.",
                            hint="Put the data folder on a local disk; network file systems often cannot do it.",
                            id="liftledger.W008",
                        )
                    )
        absent = append_only.missing(connection)
        if absent:
            found.append(
                Error(
                    f"Triggers are missing that keep recorded rows from being changed: {', '.join(absent)}.",
                    hint="Find out who dropped them; `manage.py migrate` puts them back.",
                    id="liftledger.E009",
                )
            )
    return found
