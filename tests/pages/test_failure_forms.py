"""A failure at the pages: rework, retest, closing, several in one sitting."""

import json
import re
import uuid
from collections.abc import Callable

from django.test import Client

from compaction.actions import sweep
from compaction.models import (
    Decision,
    Failure,
    Rework,
)
from tests.builders import failing_body, gauge_body
from tests.pages.conftest import FAILING, Filled
from tests.pages.hidden_fields import hidden_value

SignIn = Callable[[str], Client]


def test_rework_retest_and_closing_make_one_story(filled: Filled, sign_in: SignIn) -> None:
    failure = Failure.objects.get()
    page = f"{filled.root}failures/{failure.uuid}"
    contractor, engineer = sign_in("c.pike"), sign_in("e.stone")
    sent = {"client_uuid": str(uuid.uuid4()), "method": "rerolled", "performed_at": "no time", "passes": "6"}
    wrong = contractor.post(f"{page}/rework", sent)
    assert wrong.status_code == 422
    assert "is no time" in wrong.content.decode()
    sent["performed_at"] = "2026-06-03T10:00"
    assert contractor.post(f"{page}/rework", sent).status_code == 302
    assert json.loads(Rework.objects.get().content)["performed_at"] == "2026-06-03T10:00:00-06:00"
    retest = gauge_body(label="102-R1", retest_of=str(FAILING), performed_at="2026-06-03T10:30:00-06:00")
    filled.site.post(retest)
    sweep.run_until_idle()
    shown = engineer.get(page)
    text = shown.content.decode()
    assert text.index("Failing test") < text.index("Rework: rerolled") < text.index("Retest 1")
    closing = {
        "client_uuid": str(uuid.uuid4()),
        "basis_digest": "0" * 64,
        "meaning": "closed",
        "reason": "retest passes",
    }
    stale = engineer.post(f"{page}/close", closing)
    assert stale.status_code == 422
    assert "moved since you looked" in stale.content.decode()
    closing["basis_digest"] = hidden_value(shown.content.decode(), "basis_digest")
    assert engineer.post(f"{page}/close", closing).status_code == 302
    assert Failure.objects.get().state == "closed"
    assert contractor.post(f"{page}/close", closing).status_code == 403


def test_several_failures_are_closed_in_one_sitting_each_with_its_reason(filled: Filled, sign_in: SignIn) -> None:
    for number in range(2):
        filled.site.post(
            failing_body(
                label=f"50{number}", position={"alignment": "main", "station": f"2{number}+00", "offset": "5 L"}
            )
        )
    sweep.run_until_idle()
    engineer = sign_in("e.stone")
    page = engineer.get(f"{filled.root}failures").content.decode()
    sent: dict[str, str] = {}
    for name, value in re.findall(r'name="([0-9a-f-]{36}-(?:client_uuid|basis_digest))" value="([^"]*)"', page):
        sent[name] = value
    first, second, third = (str(row.uuid) for row in Failure.objects.order_by("opened_at", "uuid"))
    sent |= {f"{first}-meaning": "accepted_as_is", f"{first}-reason": "below the pipe zone"}
    sent |= {f"{second}-meaning": "removed_and_replaced", f"{second}-reason": "dug out to lift 3"}
    sent |= {f"{third}-meaning": "closed", f"{third}-reason": "too early"}
    answer = engineer.post(f"{filled.root}failures", sent)
    assert answer.status_code == 422
    assert "after a passing retest" in answer.content.decode()
    reasons = dict(Decision.objects.filter(subject_kind="failure").values_list("subject", "reason"))
    assert reasons == {first: "below the pipe zone", second: "dug out to lift 3"}
