"""A problem as it is answered."""

from typing import Any, Final

EXAMPLES: Final[dict[str, dict[str, Any]]] = {
    "Problem": {
        "content-conflict": {
            "type": "/api/problems/content-conflict",
            "title": "The id is on record with other content",
            "status": 409,
            "detail": "This id is on record with other content. To correct a record send an amendment.",
            "instance": "61367f6163fe40c6ac2f8a930413428f",
            "errors": [],
            "stored_sha256": "0" * 64,
            "sent_sha256": "1" * 64,
        }
    },
}
