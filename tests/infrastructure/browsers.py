"""Which browser the page tests can drive: the system's Chromium, through Playwright."""

import importlib.util
import os
import shutil
import subprocess
from functools import cache

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


@cache
def find() -> str | None:
    """TEST_BROWSER, else the first known name on PATH; None without one or without Playwright."""
    if importlib.util.find_spec("playwright") is None:
        return None
    given = os.environ.get("TEST_BROWSER")
    return given or next((path for name in NAMES if (path := shutil.which(name))), None)


@cache
def describe() -> str:
    """Name and version, or what is missing."""
    if importlib.util.find_spec("playwright") is None:
        return 'none: Playwright is not installed (pip install -c .ci/constraints.txt -e ".[browser]")'
    path = find()
    if path is None:
        return f"none: no {', '.join(NAMES)} on PATH and no TEST_BROWSER; browser tests will not run"
    try:
        answer = subprocess.run([path, "--version"], capture_output=True, text=True, timeout=20, check=True)
    except (OSError, subprocess.SubprocessError) as error:
        return f"{path} does not start ({error})"
    return answer.stdout.strip()
