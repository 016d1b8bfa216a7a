"""The people of the studio, how they join, and doubled posts."""

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


class Person(AbstractUser):
    """Somebody who works here. People are switched off (``is_active``), never deleted."""

    OWNER, MAKER = "owner", "maker"
    ROLES = [(OWNER, "Owner: everything"), (MAKER, "Maker: the work and own hours")]

    shown_name = models.CharField("name", max_length=120)
    role = models.CharField(max_length=5, choices=ROLES, default=MAKER)

    pin = models.CharField(
        max_length=128, blank=True, editable=False, help_text="Hash of the PIN asked for at the bench."
    )
    break_after = models.PositiveSmallIntegerField(
        "remind me of a break after, in minutes",
        null=True,
        blank=True,
        default=50,
        validators=[MinValueValidator(10), MaxValueValidator(240)],
        help_text="Leave empty for no reminder.",
    )

    @property
    def is_owner(self) -> bool:
        return self.role == self.OWNER and self.is_active

    def __str__(self) -> str:
        return self.shown_name or self.username


class Invitation(models.Model):
    """A one-time link by which a new person joins. Only the hash of its token is kept."""

    token_hash = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=5, choices=Person.ROLES, default=Person.MAKER)
    shown_name = models.CharField("name", max_length=120)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"invitation for {self.shown_name}"


class Operation(models.Model):
    """A post that has been done: the same form sent twice leads to the first one's page."""

    key = models.UUIDField(unique=True)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.CASCADE, related_name="+"
    )
    location = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return str(self.key)


class SignInTries(models.Model):
    """Wrong passwords in a row for one name from one address (only a hash of both is kept)."""

    key = models.CharField(max_length=64, unique=True)
    tries = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.tries} wrong passwords"
