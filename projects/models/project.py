"""Projects: one commission or own piece of work."""

from django.db import models

from .base import Deletable, Revised
from .client import Client


class Project(Revised, Deletable):
    STATES = [
        ("asked", "Asked about"),
        ("in_hand", "In hand"),
        ("waiting", "Waiting"),
        ("finished", "Finished"),
        ("set_aside", "Set aside"),
    ]
    WASHING = [
        ("before", "Washed before cutting"),
        ("after", "Sewn unwashed, washed after"),
        ("never", "Not washed"),
    ]

    KINDS = [
        ("garment", "Garment"),
        ("furnishing", "Furnishing"),
        ("accessory", "Accessory"),
        ("sample", "Sample or trial"),
    ]

    number = models.PositiveIntegerField(
        unique=True, help_text="The studio's own running number, on every print."
    )
    title = models.CharField(max_length=200)
    client = models.ForeignKey(
        Client, null=True, blank=True, on_delete=models.PROTECT, related_name="projects"
    )
    state = models.CharField(max_length=10, choices=STATES, default="asked")
    due = models.DateField("due date", null=True, blank=True)
    brief = models.TextField(blank=True, max_length=20000)
    washing = models.CharField("the cloth is", max_length=6, choices=WASHING, default="before")
    childrens_wear = models.BooleanField("made for a child", default=False)
    promised = models.DateField("promised to the client for", null=True, blank=True)
    client_note = models.TextField("note to the client", blank=True, max_length=5000)
    own_settings = models.JSONField(
        null=True,
        blank=True,
        editable=False,
        help_text="What the project is planned with where it is not the studio's own: it came with a file.",
    )
    kind = models.CharField("kind of work", max_length=10, choices=KINDS, default="garment")
    steps_seen = models.JSONField(
        null=True,
        blank=True,
        editable=False,
        help_text="The steps as somebody last took note of them, by key: what changed since is told.",
    )
    nightwear = models.BooleanField("nightwear", default=False)
    first_budget = models.JSONField(
        null=True,
        blank=True,
        editable=False,
        help_text="What was planned when work began; empty braces where nobody kept it.",
    )
    in_hand_from = models.DateField(
        null=True, blank=True, editable=False, help_text="Since when it is in hand, or was last."
    )
    in_hand_until = models.DateField(
        null=True, blank=True, editable=False, help_text="The day it was last moved to another state."
    )

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["state", "due"]), models.Index(fields=["deleted_at", "state", "due"])]

    def __str__(self) -> str:
        return self.title
