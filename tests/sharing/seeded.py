"""A studio in which every text that a client must not see is a marker, whatever model it stands in."""

import io
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import count
from typing import Any

from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import models
from django.utils import timezone
from PIL import Image

from projects.activities import people, photos, sharing
from projects.activities.panels import sync_panels
from projects.models import (
    ClothFlaw,
    Edge,
    Fabric,
    KeptLay,
    LabourLog,
    LabourRate,
    LabourTotal,
    LayCut,
    LayDraft,
    LayLength,
    Notion,
    NotionNeed,
    Operation,
    Person,
    Photo,
    Piece,
    Project,
    ShareLink,
    SignInTries,
    Workroom,
)
from tests import make

from .seeded_bench import at_the_bench, of_hours

MARKER = "zq"
"""What every marker begins with; four figures follow."""

CODES = {
    "Person.password", "Invitation.token_hash", "ShareLink.token_hash", "Photo.key", "SignInTries.key",
    "Workroom.claim_hash", "Workroom.time_zone", "Workroom.currency", "Step.key", "Step.stage",
    "LabourLog.stage", "LabourTotal.stage", "LabourRate.driver", "Sample.across_technique",
    "Sample.across_place", "Sample.along_technique", "Sample.along_place", "Panel.calc_version",
    "LayDraft.run", "Person.pin", "Run.key", "HandChange.technique", "StepTime.technique",
    "LearnedRate.technique", "LearnedRate.driver", "OwnStage.key", "OwnStage.after", "StepTemplate.stage",
}  # fmt: skip
"""Fields that hold a word or a hash of the program's own: nobody types them, and the program reads them."""

SECRET = {
    "Fabric.price": Decimal("31337.5"), "Notion.price": Decimal("31338.5"), "OtherCost.amount": 3133900,
    "HourRate.amount": 3134000, "LabourLog.minutes": 31341, "LabourTotal.minutes": 31342,
    "Workroom.margin": Decimal("0.3143"), "Workroom.tax": Decimal("0.3144"), "StepTime.minutes": 31345,
    "StepTime.planned": Decimal("31346.5"), "StepTemplate.minutes": Decimal("31347.5"),
    "WeekHours.minutes": 31348, "Step.minutes": Decimal("31349.5"), "HandChange.change": 31350,
    "StepTime.of_minutes": 31351,
}  # fmt: skip
"""Money and hours, by field."""
FIGURES = ("31337", "31338", "31339", "31340", "31341", "31342", "0.3143", "31.43", "0.3144", "31.44",
           "31345", "31346", "31347", "31348", "31349", "31350", "31351")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Studio:
    """What the tests ask for: the client's project and link, another one of each, photographs."""

    project: Project
    token: str
    link: ShareLink
    other: Project
    other_token: str
    chosen: Photo
    private: Photo
    elsewhere: Photo
    shown: tuple[str, ...]


def upload(name: str) -> SimpleUploadedFile:
    """A photograph whose name, description and place would tell something."""
    exif = Image.Exif()
    exif[0x010E] = f"{MARKER}7001 description"
    exif[0x013B] = f"{MARKER}7002 taken by"
    kept = io.BytesIO()
    Image.effect_noise((400, 300), 40).convert("RGB").save(kept, "JPEG", exif=exif)
    return SimpleUploadedFile(f"{MARKER}7003-{name}.jpg", kept.getvalue(), content_type="image/jpeg")


def photograph(person: Person, **of: Any) -> Photo:
    for_client = of.pop("for_client", False)
    added = photos.add_photos(files=[upload("front")], person=person, caption="words", **of)
    assert not added.refused
    Photo.objects.filter(pk=added.photos[0].pk).update(for_client=for_client)
    return added.photos[0]


def share(project: Project, person: Person, **values: Any) -> tuple[str, ShareLink]:
    shows = {name: values.pop(name, True) for name in sharing.SHOWS}
    usual = {"name": "Fern", "expires_at": None, **values}
    token = sharing.make_link(project=project, person=person, shows=shows, **usual)
    return token, ShareLink.objects.get(token_hash=people.hash_of(token))


def a_project(maker: Person, fabric: Fabric, title: str) -> tuple[Project, Piece]:
    """A project with everything that may hang on one."""
    side = make.tucks(*make.GRADUATED, way="zq7004 by hand")
    recipe = make.recipe(f"{title} recipe", of=make.content(side, side), by=maker)
    project = make.project(title, client=make.client(f"client of {title}"), promised=date(2027, 4, 30))
    piece = make.piece(project, fabric=fabric, version=recipe.versions.get(), name="Front")
    sync_panels(piece)
    make.sample(recipe.versions.get(), fabric, across_way="zq7004 by hand")
    Edge.objects.create(piece=piece, name="hem", length=400 * make.MM)
    notion = make.notion(f"buttons of {title}")
    NotionNeed.objects.create(project=project, notion=notion, amount=4000, why="closing")
    make.step(project, minutes=40, reason="later", detail="at the end")
    make.length(fabric)
    make.log(maker, project)
    LabourLog.objects.create(
        worker="somebody", project=project, date=date(2026, 3, 3), minutes=30, stage="mark", entered_by=maker
    )
    LabourTotal.objects.create(project=project, person=maker, stage="texture", minutes=60)
    LabourTotal.objects.create(project=project, worker="somebody", stage="mark", minutes=30)
    make.other_cost(project)
    return project, piece


def a_lay(fabric: Fabric) -> None:
    """An accepted lay on a length with a flaw, one cut of it made, and one being worked on."""
    project, length = make.project(), make.length(fabric)
    kept = KeptLay.objects.create(project=project, fabric=fabric, inputs={}, result={})
    LayLength.objects.create(lay=kept, place=1, cloth=length, used=make.MM)
    LayCut.objects.create(lay=kept, number=1, cut_at=timezone.now())
    LayDraft.objects.create(project=project, fabric=fabric)
    size = 30 * make.MM
    ClothFlaw.objects.create(cloth=length, length=size, width=size, note="a stain")


def build() -> Studio:
    """The studio, markers included."""
    make.workroom(public_address="https://studio.example")
    owner, maker = make.person("wren", role=Person.OWNER), make.person("moss")
    fabric, elsewhere = make.fabric("Linen voile", fibre="linen", colour="white"), make.fabric("Wool challis")
    project, piece = a_project(maker, fabric, "Concert coat")
    other, _ = a_project(maker, elsewhere, "Capelet")
    at_the_bench(piece, maker)
    of_hours(piece, maker)
    chosen = photograph(maker, project=project, for_client=True)
    private = photograph(maker, project=project)
    far = photograph(maker, project=other, for_client=True)
    for of in ({"fabric": fabric}, {"notion": Notion.objects.first()}):
        photograph(maker, for_client=True, **of)
    people.invite(shown_name="Fern", role="maker", by=owner)
    make.hour_rate(of=maker)
    make.deletion(make.project("gone"), by=owner)
    LabourRate.objects.create(driver="tucks", minutes=3, from_date=date(2026, 1, 1))
    a_lay(fabric)
    Operation.objects.create(key="6e7c31a2-9d7f-4c3e-8f0e-0d8f1f6f9a11", person=owner, location="somewhere")
    SignInTries.objects.create(key="a" * 64, last_at=timezone.now())
    (token, link), (other_token, _) = share(project, owner), share(other, owner)
    _mark_everything()
    _hide_figures()
    shown = _show(project, fabric, chosen)
    return Studio(project, token, link, other, other_token, chosen, private, far, shown)


def texts() -> Iterator[tuple[type[models.Model], Any]]:
    """Every text field of every model that somebody can fill."""
    for model in apps.get_app_config("projects").get_models():
        for field in model._meta.concrete_fields:
            text = isinstance(field, models.CharField | models.TextField) and not field.choices
            if text and f"{model.__name__}.{field.name}" not in CODES:
                yield model, field


def _mark_everything() -> None:
    numbers = count(1)
    for model, field in texts():
        rows = model._base_manager.all()
        if (model, field.name) in ((LabourLog, "worker"), (LabourTotal, "worker")):
            rows = rows.filter(person=None)
        for key in rows.values_list("pk", flat=True):
            marker = f"{MARKER}{next(numbers):04d} {field.name}"
            model._base_manager.filter(pk=key).update(**{field.name: marker[: field.max_length or 200]})


def _hide_figures() -> None:
    for name, value in SECRET.items():
        model, field = name.split(".")
        apps.get_model("projects", model)._base_manager.update(**{field: value})
    Workroom.objects.update(currency="XTS")


def _show(project: Project, fabric: Fabric, chosen: Photo) -> tuple[str, ...]:
    """Fill what may be seen; everything that is not here is a marker."""
    Workroom.objects.update(name="Shown studio")
    Project.objects.filter(pk=project.pk).update(title="Shown title", client_note="Shown note")
    Fabric.objects.filter(pk=fabric.pk).update(name="Shown cloth", fibre="shown fibre", colour="shown colour")
    Photo.objects.filter(pk=chosen.pk).update(caption="Shown caption")
    return (
        "Shown studio", "Shown title", "Shown note", "Shown cloth", "shown fibre", "shown colour",
        "Shown caption", "30 April 2027",
    )  # fmt: skip
