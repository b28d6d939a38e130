"""The service for a WSGI server: `gunicorn compaction.wsgi`."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "compaction.settings")

application = get_wsgi_application()
