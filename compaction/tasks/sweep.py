"""The one periodic task: do whatever the database says is waiting."""

from celery import shared_task
from django.conf import settings

from compaction.actions.sweep import run_until_idle


@shared_task(name="compaction.tasks.sweep")
def sweep() -> None:
    """Wake the sweep. Safe to run twice, at the same time, late or never: the rows say what is to be done."""
    run_until_idle()
    settings.SWEEP_HEARTBEAT.touch()
