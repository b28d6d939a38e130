"""Two addresses for machines: is the process up, and can it do its work. No detail for strangers."""

import logging
import time

from django.conf import settings
from django.db import Error, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from projects import stale

logger = logging.getLogger(__name__)


@require_safe
def healthz(_request: HttpRequest) -> JsonResponse:
    """200 as long as the process answers. Touches nothing else: a dead database is no reason to restart it."""
    return JsonResponse({"status": "ok"})


@require_safe
def readyz(_request: HttpRequest) -> JsonResponse:
    """200 when database, migrations and sweep are in order, else 503 with the names of what is not."""
    problems = []
    try:
        if _migrations_missing():
            problems.append("migrations")
        elif _sweep_is_late():
            problems.append("sweep")
    except Error:
        logger.exception("readyz: the database does not answer")
        problems.append("database")
    return JsonResponse(
        {"status": "not ready" if problems else "ok", "problems": problems}, status=503 if problems else 200
    )


def _migrations_missing() -> bool:
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _sweep_is_late() -> bool:
    """Work is waiting, and the last finished sweep on this data folder is older than the limit (or never was)."""
    if not stale.due(now=timezone.now()).exists():
        return False
    try:
        age = time.time() - settings.SWEEP_HEARTBEAT.stat().st_mtime
    except FileNotFoundError:
        return True
    return age > settings.READY_WORK_SECONDS
