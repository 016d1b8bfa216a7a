"""Clients. Their contact details are seen by owners only."""

from django.db import models

from .base import Deletable, Revised


class Client(Revised, Deletable):
    name = models.CharField(max_length=200)
    reference = models.CharField("reference on prints", max_length=40, blank=True)
    email = models.EmailField(blank=True)
    telephone = models.CharField(max_length=60, blank=True)
    address = models.TextField(blank=True, max_length=2000)
    notes = models.TextField(blank=True, max_length=10000)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name
