#!/usr/bin/env python
"""Commands of the service: `serve`, `sweep`, `load_demo`, `check`, `migrate` ..."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "compaction.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
