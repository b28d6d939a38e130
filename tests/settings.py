"""The service's settings with a data folder of this test process; nothing of the developer's environment gets in."""

import atexit
import os
import shutil
import tempfile

# A tests process on PostgreSQL is started by tests/on_postgres with this variable.
_database = os.environ.get("LIFTLEDGER_TESTS_RUN_ON", "")
for _name in [name for name in os.environ if name.startswith("LIFTLEDGER_")]:
    del os.environ[_name]
if _database:
    os.environ["LIFTLEDGER_TESTS_RUN_ON"] = os.environ["LIFTLEDGER_DATABASE_URL"] = _database
os.environ["LIFTLEDGER_DATA_FOLDER"] = tempfile.mkdtemp(prefix="liftledger-tests-")
atexit.register(shutil.rmtree, os.environ["LIFTLEDGER_DATA_FOLDER"], ignore_errors=True)

from compaction.settings import *  # noqa: E402, F403
from compaction.settings import DATA_FOLDER, DATABASES, LOGGING, STORAGES  # noqa: E402

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # Argon2 is slow on purpose
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = True  # a live server finds pages' files without collectstatic
LOGGING = {**LOGGING, "root": {"handlers": ["stderr"], "level": "WARNING"}}
# A file, not memory: threads of a live server and worker processes must see the same rows.
DATABASES["default"]["TEST"] = {} if _database else {"NAME": str(DATA_FOLDER / "tests.sqlite3")}
DATABASES["default"]["CONN_MAX_AGE"] = (
    0  # a connection kept by a thread would keep the test database from being dropped
)
