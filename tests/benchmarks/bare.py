"""Settings and one endpoint for comparison: a plain DRF view that stores the same fields and does nothing else."""

from compaction.settings import *  # noqa: F403

ROOT_URLCONF = "tests.benchmarks.bare_urls"
