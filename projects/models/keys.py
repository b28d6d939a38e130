"""Keys for field devices: a public id to look up, the digest of the secret, scopes and an end."""

from django.db import models


class Scope(models.TextChoices):
    SUBMIT = "submit", "post tests, placements and reworks"
    READ_OWN = "read-own", "read what the key itself has posted"
    READ_PROJECT = "read-project", "read the project"


class DeviceKey(models.Model):
    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="device_keys")
    owner = models.ForeignKey("projects.User", on_delete=models.PROTECT, related_name="device_keys")
    name = models.CharField(max_length=80, help_text="Which phone, tablet or program holds it.")
    public_id = models.CharField(max_length=16, unique=True)
    secret_sha256 = models.CharField(max_length=64)
    scopes = models.CharField(max_length=80, help_text="Separated by spaces.")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["project", "-created_at"]

    def __str__(self) -> str:
        return f"{self.name} ({self.public_id})"

    def has_scope(self, scope: str) -> bool:
        return scope in self.scopes.split()
