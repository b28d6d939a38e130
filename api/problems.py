"""Every problem that an answer can name: its status, its title and what a client does about it.

The code is the last part of the problem's `type` and stays the same for ever; the words may change.
"""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class ProblemKind:
    """One kind of problem. 'remedy' is what stands on its page."""

    status: int
    title: str
    remedy: str


KINDS: Final[dict[str, ProblemKind]] = {
    # ---- the request itself
    "bad-request": ProblemKind(
        400, "The request can't be read", "Look at 'detail'; send the request again in good form."
    ),
    "bad-host": ProblemKind(
        400, "The host name is not served", "Use one of the names under which this service is reached."
    ),
    "body-missing": ProblemKind(400, "A body is wanted", "Send the record as JSON, with its length."),
    "body-not-json": ProblemKind(
        400,
        "The body is not strict JSON",
        "Send JSON as RFC 8259 has it: no NaN or Infinity, no name twice in an object, at most 20 levels, numbers of "
        "at most 40 digits, no control characters other than tab and line feed. 'errors' points at each place.",
    ),
    "query-parameter": ProblemKind(
        400,
        "A query parameter is wrong",
        "Only the parameters in the documentation are taken, each once and in its form.",
    ),
    "cursor": ProblemKind(
        400,
        "The cursor can't be used",
        "Take 'next' of the answer before, unchanged and with the same filters; or begin anew.",
    ),
    "key-in-address": ProblemKind(
        400,
        "A key must not stand in an address",
        "Addresses end up in logs. Send the key as 'Authorization: Bearer ...', and revoke the one that was sent.",
    ),
    "precondition-contradiction": ProblemKind(
        400, "Two versions are named", "If-Match and 'replaces' must name the same version; send one of them."
    ),
    "too-many-items": ProblemKind(400, "Too many items", "Split the batch; nothing of it was taken."),
    # ---- who asks
    "not-signed-in": ProblemKind(401, "Nobody is signed in", "Send a key as 'Authorization: Bearer ...', or sign in."),
    "key-unknown": ProblemKind(401, "The key is not known", "Keep your records. Check that the key was copied whole."),
    "key-expired": ProblemKind(401, "The key has expired", "Keep your records; ask for a new key and send them again."),
    "key-revoked": ProblemKind(401, "The key was revoked", "Keep your records; ask for a new key and send them again."),
    "csrf-failed": ProblemKind(
        403, "The page's token is missing or old", "Load the page again. Programs use a key instead of a session."
    ),
    "not-allowed": ProblemKind(403, "This role or key may not do that", "'detail' names the roles that may."),
    "second-person-needed": ProblemKind(403, "Another person has to do this", "Ask somebody who was not part of it."),
    # ---- what is asked for
    "not-found": ProblemKind(
        404, "There is nothing here", "Check project, id and address; what is not yours looks the same."
    ),
    "method-not-allowed": ProblemKind(
        405, "The address does not take this method", "The header 'Allow' names those it takes."
    ),
    "not-acceptable": ProblemKind(406, "Only JSON is answered here", "Accept 'application/json'."),
    "body-too-large": ProblemKind(
        413, "The body is too large", "Send at most 500 tests and 2 MB at once; nothing was taken."
    ),
    "not-json": ProblemKind(
        415, "Only JSON in UTF-8 is read", "Send 'Content-Type: application/json', not compressed."
    ),
    # ---- what was sent
    "content-unreadable": ProblemKind(
        422,
        "The record can't be read",
        "'errors' points at every member that can't be read and says why. Nothing was stored.",
    ),
    "content-conflict": ProblemKind(
        409,
        "The id is on record with other content",
        "To correct a record send an amendment; for another record use another id. Both digests stand in the answer.",
    ),
    "conflict": ProblemKind(
        409, "The state of the record does not allow this", "Read the record and decide on what it says now."
    ),
    "revision-conflict": ProblemKind(
        409, "That revision exists or is out of order", "A revision is never rewritten; issue the next one."
    ),
    "not-current": ProblemKind(412, "The record has moved on", "Read the current version and work from that."),
    "version-required": ProblemKind(
        428, "Say which version is meant", "Send 'If-Match' with the ETag that you read, or the member 'replaces'."
    ),
    # ---- us
    "internal": ProblemKind(
        500,
        "A fault of the service",
        "Nothing was stored. Send the same again later; tell the operator the 'instance'.",
    ),
    "try-again": ProblemKind(
        503, "The service is busy", "Nothing was stored. Send the same again after the seconds in 'Retry-After'."
    ),
}

#: code of a refusal -> kind of problem (the code itself stays in `errors`)
REFUSALS: Final[dict[str, str]] = {
    "reason-unknown": "content-unreadable",
    "reason-missing": "content-unreadable",
    "meaning-unknown": "content-unreadable",
    "period-crossed": "content-unreadable",
    "alignment-unknown": "content-unreadable",
    "geometry-unreadable": "content-unreadable",
    "file-unreadable": "content-unreadable",
    "revision-out-of-order": "revision-conflict",
}

#: status of an answer that Django or a library made -> kind of problem
BY_STATUS: Final[dict[int, str]] = {
    400: "bad-request",
    401: "not-signed-in",
    403: "not-allowed",
    404: "not-found",
    405: "method-not-allowed",
    406: "not-acceptable",
    413: "body-too-large",
    415: "not-json",
    500: "internal",
    503: "try-again",
}

ADDRESS: Final = "/api/problems/"


def type_of(code: str) -> str:
    """The address of a problem's page, its 'type'."""
    return f"{ADDRESS}{code}"
