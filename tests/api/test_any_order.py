"""The same history over HTTP, one by one and in batches, in any order: what follows is the same."""

import json
import random

import pytest

from compaction.actions import reassessment, sweep
from compaction.queries import set_up
from tests.actions.test_failure_chain import a_history, digest_of
from tests.api.conftest import Caller, key_for
from tests.builders import make_project


def digests_over(orders: int, count: int) -> set[str]:
    """Odd orders go in batches of random size, even ones by PUT; one in six records is sent twice."""
    history, draw = a_history(count), random.Random(33)
    digests = set()
    for order in range(orders):
        set_up.forget()
        site = make_project(code=f"http-{order}")
        crew = Caller(site.project.code, {"Authorization": f"Bearer {key_for(site, 't.moss')}"})
        sent = history + draw.sample(history, len(history) // 6)
        draw.shuffle(sent)
        while sent:
            size = draw.randrange(1, 40) if order % 2 else 1
            part, sent = sent[:size], sent[size:]
            if order % 2:
                answer = crew.post("tests:batch", {"items": [{"id": str(uid), "test": body} for uid, body in part]})
                assert {item["status"] for item in json.loads(answer.content)["results"]} <= {200, 201}
            else:
                assert crew.put_test(part[0][1], part[0][0]).status_code in (200, 201)
        sweep.run_until_idle()
        digests.add(digest_of(site.project))
        assert reassessment.rebuild_check(site.project) == []
    return digests


def test_single_posts_and_batches_give_one_digest(db):
    assert len(digests_over(2, 40)) == 1


@pytest.mark.long
def test_two_hundred_tests_in_twenty_orders_over_http(db):
    assert len(digests_over(20, 200)) == 1
