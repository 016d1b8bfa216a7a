"""Three invented clients. Their addresses lead nowhere: example.org is kept free for examples."""

from projects.activities.clients import create_client
from projects.models import Client

from .people import People


def add_choir(people: People) -> Client:
    values = {
        "name": "Quayside Choir",
        "reference": "QC",
        "email": "wardrobe@quayside-choir.example.org",
        "telephone": "00000 000 001",
        "address": "The Old Net Loft\nQuayside\nAnytown",
        "notes": "Nine coats were talked about; this is the first. The wardrobe keeper fits on Thursdays.",
    }
    return create_client(values=values, person=people.owner)


def add_players(people: People) -> Client:
    values = {
        "name": "Lantern Lane Players",
        "reference": "LLP",
        "email": "costume@lantern-lane.example.org",
        "telephone": "00000 000 002",
        "address": "The Assembly Room\nLantern Lane\nAnytown",
        "notes": "Pays on delivery. Everything is worn under hot lights and aired, not washed.",
    }
    return create_client(values=values, person=people.owner)


def add_family(people: People) -> Client:
    values = {
        "name": "The family at Harbour Steps",
        "reference": "HS",
        "email": "gown@harbour-steps.example.org",
        "telephone": "00000 000 003",
        "address": "3 Harbour Steps\nAnytown",
        "notes": "The grandmother keeps the skirt; fetch it on a dry day.",
    }
    return create_client(values=values, person=people.owner)
