"""Issue, check and revoke the keys of field devices."""

import hashlib
import hmac
import secrets
import zlib
from datetime import datetime, timedelta

from django.db import transaction

from projects import access, journal
from projects.access import Open
from projects.models import DeviceKey, Membership, Scope, User

PREFIX = "llk"
LIFE = timedelta(days=365)
TOUCH_EVERY = timedelta(minutes=5)


class KeyRefused(Exception):
    """The key can't be used. `code` is unknown, expired or revoked; the last two only for a true secret."""

    def __init__(self, code: str, sentence: str) -> None:
        self.code = code
        super().__init__(sentence)


def _checksum(text: str) -> str:
    return f"{zlib.crc32(text.encode('ascii')):08x}"


def issue(
    *, opened: Open, owner: User, name: str, scopes: list[str], now: datetime, life: timedelta = LIFE
) -> tuple[DeviceKey, str]:
    """Make a key and return it with its secret text, which is shown once and not kept."""
    opened.require("manage-keys")
    unknown = sorted(set(scopes) - set(Scope.values))
    if unknown or not scopes:
        raise ValueError(f"Scopes are {', '.join(Scope.values)}; got {', '.join(unknown) or 'none'}.")
    if not Membership.objects.filter(project=opened.project, user=owner).exists():
        raise ValueError("A key belongs to a person who has a role on the project; give the person a role first.")
    public_id = secrets.token_hex(8)
    secret = secrets.token_urlsafe(32).replace("_", "-")
    body = f"{PREFIX}_{public_id}_{secret}"
    with transaction.atomic():
        key = DeviceKey.objects.create(
            project=opened.project,
            owner=owner,
            name=name,
            public_id=public_id,
            secret_sha256=hashlib.sha256(secret.encode("ascii")).hexdigest(),
            scopes=" ".join(sorted(set(scopes))),
            created_at=now,
            expires_at=now + life,
        )
        journal.append(
            project=opened.project,
            actor=opened.actor,
            now=now,
            entries=[
                journal.Entry(
                    kind="key.issued",
                    subject_kind="key",
                    subject=public_id,
                    body={
                        "name": name,
                        "owner": owner.username,
                        "scopes": sorted(set(scopes)),
                        "expires_at": journal.timestamp(key.expires_at),
                    },
                )
            ],
        )
    return key, f"{body}_{_checksum(body)}"


def revoke(*, opened: Open, public_id: str, reason: str, now: datetime) -> None:
    """End a key at once."""
    opened.require("manage-keys")
    with transaction.atomic():
        changed = DeviceKey.objects.filter(project=opened.project, public_id=public_id, revoked_at__isnull=True).update(
            revoked_at=now
        )
        if changed:
            journal.append(
                project=opened.project,
                actor=opened.actor,
                now=now,
                entries=[
                    journal.Entry(
                        kind="key.revoked",
                        subject_kind="key",
                        subject=public_id,
                        body={"public_id": public_id},
                        reason=reason,
                    )
                ],
            )


def authenticate(text: str, *, now: datetime) -> tuple[DeviceKey, frozenset[str]]:
    """The key behind the text and the roles of its owner now. One statement; the roster is kept until it changes."""
    parts = text.split("_")
    unknown = KeyRefused("unknown", "This key is not known. Check that it was copied whole.")
    if len(parts) != 4 or parts[0] != PREFIX or not text.isascii():
        raise unknown
    if not hmac.compare_digest(_checksum("_".join(parts[:3])), parts[3]):
        raise KeyRefused("unknown", "This key was copied with a mistake: its last eight characters do not fit.")
    key = (
        DeviceKey.objects.filter(public_id=parts[1]).select_related("project", "project__journal_head", "owner").first()
    )
    given = hashlib.sha256(parts[2].encode("ascii")).hexdigest()
    if key is None or not hmac.compare_digest(given, key.secret_sha256):
        raise unknown
    if key.revoked_at is not None:
        raise KeyRefused("revoked", "This key was revoked. Keep your records; ask for a new key and send them again.")
    if key.expires_at <= now or not key.owner.is_active:
        raise KeyRefused("expired", "This key has expired. Keep your records; ask for a new key and send them again.")
    if key.last_used_at is None or now - key.last_used_at > TOUCH_EVERY:
        DeviceKey.objects.filter(pk=key.pk).update(last_used_at=now)
    day = now.astimezone(key.project.zone_info).date()
    return key, access.roles_on(
        key.project, setup_seq=key.project.journal_head.setup_seq, user_id=key.owner_id, day=day
    )
