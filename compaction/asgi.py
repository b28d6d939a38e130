"""The service for an ASGI server. Nothing here needs one: `serve` uses WSGI."""

import os

from django.core.asgi import get_asgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "compaction.settings")

application = get_asgi_application()
