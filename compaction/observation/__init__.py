"""The body of a test: what a client may send, read into the frozen shapes of `compaction.facts`."""

from compaction.observation.members import ContentError
from compaction.observation.position import GpsFix, StatedPosition
from compaction.observation.reading import SCHEMA, Notice, read, read_notice, read_position

__all__ = [
    "SCHEMA",
    "ContentError",
    "GpsFix",
    "Notice",
    "StatedPosition",
    "read",
    "read_notice",
    "read_position",
]
