"""Who works on a project, in which role, and since when."""

from django.contrib.auth.models import AbstractUser
from django.db import models


class Role(models.TextChoices):
    TECHNICIAN = "technician", "Technician"
    SUPERVISOR = "supervisor", "Supervisor"
    LABORATORY = "laboratory", "Laboratory"
    MANAGER = "manager", "Project manager"
    ENGINEER = "engineer", "Engineer"
    CONTRACTOR = "contractor", "Contractor"
    OWNER = "owner", "Owner (reads only)"
    ADMINISTRATOR = "administrator", "Administrator"


def role_choices() -> list[tuple[str, str]]:
    """A function, so that a new role needs no migration."""
    return list(Role.choices)


class User(AbstractUser):
    """A person who can sign in. Named here once, because the user model can't be exchanged later."""

    def __str__(self) -> str:
        return self.get_full_name() or self.username


class Membership(models.Model):
    """A person's role on a project within a period: the roster that a technician's name is checked against."""

    project = models.ForeignKey("projects.Project", on_delete=models.PROTECT, related_name="memberships")
    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=20, choices=role_choices)
    valid_from = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["project", "user", "role"], name="membership_once_per_role"),
            models.CheckConstraint(
                condition=models.Q(valid_from__isnull=True)
                | models.Q(valid_until__isnull=True)
                | models.Q(valid_from__lte=models.F("valid_until")),
                name="membership_period_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user} as {self.role} on {self.project_id}"
