"""Write the document of version 1 to fixtures/openapi/v1.json: `python -m tests.api.openapi_file`.

Look at the difference before committing it: within a version, only additions are allowed.
"""

from pathlib import Path

FILE = Path(__file__).resolve().parents[2] / "fixtures" / "openapi" / "v1.json"


def main() -> None:
    import django

    django.setup()
    from api import pages

    FILE.parent.mkdir(parents=True, exist_ok=True)
    FILE.write_text(pages.document(), encoding="utf-8")


if __name__ == "__main__":
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    main()
