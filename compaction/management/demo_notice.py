"""What `serve` prints about the demo: accounts, and a `curl` that posts a gauge test, ready to paste."""

import json
import shlex
import uuid
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any


def read(file: Path) -> dict[str, Any] | None:
    """The notice that `load_demo` left in the data folder; None when there is no demo."""
    try:
        content = json.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    return content if isinstance(content, dict) else None


def accounts(notice: Mapping[str, Any]) -> list[str]:
    """One line a demo account: name, password, role, in columns."""
    rows = [(row["username"], row["password"], row["role"]) for row in notice.get("accounts", [])]
    if not rows:
        return []
    rows.insert(0, ("user name", "password", "role"))
    widths = [max(len(str(row[column])) for row in rows) for column in range(3)]
    return ["  ".join(str(cell).ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]


def curl(notice: Mapping[str, Any], *, address: str, now: datetime, test_id: uuid.UUID | None = None) -> str | None:
    """A command line for a POSIX shell that PUTs one test, made now, under a new id; None without a key or a body."""
    if not (notice.get("device_key") and notice.get("curl_body") and notice.get("project")):
        return None
    body = {**notice["curl_body"], "performed_at": now.replace(microsecond=0).isoformat()}
    target = f"{address}/api/v1/projects/{notice['project']}/tests/{test_id or uuid.uuid4()}"
    return " \\\n  ".join(
        [
            f"curl -sS -X PUT {shlex.quote(target)}",
            "-H " + shlex.quote(f"Authorization: Bearer {notice['device_key']}"),
            "-H 'Content-Type: application/json'",
            "-d " + shlex.quote(json.dumps(body, ensure_ascii=False)),
        ]
    )
