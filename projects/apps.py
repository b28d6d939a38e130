"""Start-up of the projects application."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ProjectsConfig(AppConfig):
    name = "projects"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Put the append-only triggers back after every migration.

        Sent for this application only: by then the tables of all applications are there.
        """
        from projects import append_only

        post_migrate.connect(append_only.install_after_migrate, sender=self, dispatch_uid="append_only")
