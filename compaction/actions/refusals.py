"""What an action refuses, each with a sentence that says what, where, limit and remedy."""


class Refused(Exception):
    """The request was understood and is not taken. `code` is stable; the sentence is for people."""

    code = "refused"

    def __init__(self, sentence: str, *, code: str | None = None) -> None:
        if code is not None:
            self.code = code
        super().__init__(sentence)


class ContentConflict(Refused):
    """The id is known with other content. Nothing is written."""

    code = "content-conflict"

    def __init__(self, *, stored_sha256: str, sent_sha256: str) -> None:
        self.stored_sha256, self.sent_sha256 = stored_sha256, sent_sha256
        super().__init__(
            f"This id is on record with other content (on record {stored_sha256[:12]}, sent {sent_sha256[:12]}). "
            "To correct a record send an amendment; for another record use another id."
        )


class NotCurrent(Refused):
    """The caller worked from an older version."""

    code = "not-current"


class Unknown(Refused):
    """There is no such subject in this project."""

    code = "not-found"


class NeedsAnother(Refused):
    """A second person has to do this."""

    code = "second-person-needed"
