"""The web server child of `manage.py serve`: gunicorn on a socket that the parent has opened.

The parent opens the socket so that nobody can take the port between looking for a free one and using it.
"""

import argparse
import os
from typing import Any

from django.core.wsgi import get_wsgi_application
from gunicorn.app.base import BaseApplication

from compaction.management.following import end_with_parent


class Server(BaseApplication):
    """gunicorn with its options given here: no command line, no configuration file, no environment."""

    def __init__(self, options: dict[str, Any]) -> None:
        self.given = options
        super().__init__(prog="liftledger")

    def load_config(self) -> None:
        """Set the given options."""
        for name, value in self.given.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """The application, imported in each worker process."""
        return get_wsgi_application()


def options(*, socket_fd: int, workers: int, threads: int, parent: int) -> dict[str, Any]:
    """gunicorn's options: threads, because a request waits for the database most of its time."""
    return {
        "bind": [f"fd://{socket_fd}"],
        "workers": workers,
        "threads": threads,
        "worker_class": "gthread",
        "timeout": 120,
        "graceful_timeout": 10,
        "max_requests": 20_000,
        "max_requests_jitter": 2_000,
        "accesslog": None,
        "loglevel": "warning",
        "control_socket_disable": True,
        "when_ready": lambda _server: end_with_parent(parent),
    }


def main() -> None:
    """Run until SIGTERM."""
    parser = argparse.ArgumentParser(description=__doc__)
    for name in ("socket-fd", "workers", "threads", "parent"):
        parser.add_argument(f"--{name}", type=int, required=True)
    given = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "compaction.settings")
    chosen = options(socket_fd=given.socket_fd, workers=given.workers, threads=given.threads, parent=given.parent)
    Server(chosen).run()


if __name__ == "__main__":
    main()
