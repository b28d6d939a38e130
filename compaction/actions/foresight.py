"""What tests would be on another geometry: each one's place and result, evaluated only where it may be another."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

from django.db.models import F

from compaction.actions import reassessment, relocation
from compaction.models import Test
from compaction.queries import set_up
from compaction.queries.derivation import head_values, place_values, placed
from projects.models import StaleWork


def foreseen(
    project_id: int, tests: list[Test], *, under: set_up.SetUp
) -> Iterator[tuple[Test, Mapping[str, Any], str]]:
    """Each test with the place and the result that it would have; evaluated only where its result may be another."""
    keys = [str(test.client_uuid) for test in tests]
    waiting = set(
        StaleWork.objects.filter(project_id=project_id, kind__in=("test", "place"), computed_rev__lt=F("dirty_rev"))
        .filter(key__in=keys)
        .values_list("key", flat=True)
    )
    versions = relocation.current_versions(tests)
    for test in tests:
        content = json.loads(versions[test.pk].content)
        located = placed(content, performed_at=test.performed_at, lift=test.lift, set_up=under)
        if str(test.client_uuid) not in waiting and relocation.same_result(test, located, under=under):
            yield test, place_values(located), test.result
        else:
            [change] = reassessment.evaluate([test], under=under, worksheet=False)
            yield test, head_values(change.derived), change.after
