"""Which of a client's records are here: for a device that does not know what of its queue arrived."""

from compaction.models import TestVersion
from projects.access import Open


def digests_on_record(opened: Open, uuids: list[str]) -> dict[str, str]:
    """Id of a test -> SHA-256 of its first version's content, for those that are here. One statement."""
    rows = TestVersion.objects.filter(test__project=opened.project, test__client_uuid__in=uuids, version=1).values_list(
        "test__client_uuid", "content_sha256"
    )
    return {str(client_uuid): digest for client_uuid, digest in rows}
