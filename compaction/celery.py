"""The Celery application: `celery -A compaction.celery worker`.

Loaded by `CompactionConfig.ready()`, never by `compaction/__init__.py`: there it would load Celery with
every pure module.
"""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "compaction.settings")

app = Celery("liftledger")
app.config_from_object("django.conf:settings", namespace="CELERY")
