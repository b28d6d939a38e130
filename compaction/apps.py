"""Start-up of the compaction application."""

from django.apps import AppConfig


class CompactionConfig(AppConfig):
    name = "compaction"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Load the queue's application, its tasks and the system checks.

        A web process that has not imported the tasks cannot ask for one by name.
        """
        from compaction import celery, checks  # noqa: F401
        from compaction.tasks import sweep  # noqa: F401
