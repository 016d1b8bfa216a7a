"""Studios made from a seed: projects that share cloth, hold it from one another, cut, skip, move and log."""

from contextlib import suppress
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from random import Random
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from projects.activities import (
    lay_cutting,
    lays,
    logs,
    notions,
    panels,
    pieces,
    recipes,
    samples,
    steps,
    stock,
)
from projects.calc.labour import STARTING_RATES
from projects.calc.lengths import System
from projects.calc.ratio import RATIO_TECHNIQUES
from projects.calc.recipe import Recipe as Content
from projects.models import (
    BenchFact,
    ClothLength,
    Edge,
    Fabric,
    HandChange,
    KeptLay,
    LabourRate,
    OtherCost,
    OwnStage,
    Panel,
    Person,
    Piece,
    Project,
    RecipeVersion,
    Run,
    Workroom,
)
from projects.planning import plan_project
from projects.planning.export import plan_text
from tests import make
from tests.make import MM

from . import textures

NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)
STAGES = ("sample", "prepare", "cut", "mark", "texture", "press", "trim", "make_up", "finish", "")
SETUP = ("setup.mark", "setup.texture")


class Studio:
    """One studio's rows, all from ``seed``."""

    def __init__(self, seed: int, projects: int = 3) -> None:
        self.seed, self.random, self.apart = seed, Random(seed), Random(1_000 + seed)
        self.people = [self._person(name) for name in ("Wren", "Moss")]
        self._settings()
        self.fabrics = [self._fabric(n) for n in range(4)]
        self.notions = [make.notion(f"Buttons {n}", received=self.random.randint(0, 20)) for n in range(3)]
        made = [self._recipe(n) for n in range(6)]
        self.versions = [version for versions in made for version in versions]
        self.textures = [versions[-1] for versions in made]
        for _ in range(9):
            self._sample()
        self._own_work()
        self._hands()
        self.projects = [self._project(n) for n in range(projects)]
        for project in self.projects:
            self._work(project)

    def _person(self, name: str) -> Person:
        found = Person.objects.filter(username=name.lower()).first()
        return found or make.person(name.lower(), shown_name=name, role=Person.OWNER)

    def some(self, least: int, most: int) -> int:
        """A length between so many millimetres, not in whole ones."""
        return textures.between(self.random, least, most)

    def maybe(self, value: Any) -> Any:
        return value if self.random.random() < 0.6 else None

    def chance(self, share: float = 0.5) -> bool:
        return self.random.random() < share

    def _settings(self) -> None:
        make.workroom(
            units=self.random.choice(["metric", "inch"]), currency="GBP", squaring=self.some(0, 20),
            buy_step=self.random.choice([100 * MM, 114_300_000]), border=self.some(10, 40),
            depth_spread=self.random.randint(100_000, 900_000), needle_lift=self.some(3, 9),
            check_every=self.random.choice([None, 5, 10]), buy_swatch=self.chance(),
            bias_join=self.some(5, 12), bias_least=self.some(100, 400), spool=self.some(20_000, 200_000),
        )  # fmt: skip
        for driver in (*STARTING_RATES, *SETUP):
            if self.chance(0.6):
                continue
            minutes = Decimal(self.random.randint(100, 9000)) / 1000
            LabourRate.objects.update_or_create(
                driver=driver, from_date=date(2026, 1, 1), defaults={"minutes": minutes}
            )

    def _fabric(self, number: int) -> Fabric:
        cloth = make.fabric(
            self.random.choice(["Linen voile", "Cotton lawn", "Fine wool"]), colour=f"shade {number}",
            width=self.some(900, 1600), grams=self.maybe(Decimal("92.5")), thickness=self.maybe(180_000),
            light=self.maybe(Decimal("0.45")), shrink_along=self.maybe(Decimal("0.0350")),
            shrink_across=self.maybe(Decimal("0.02")), one_way=self.chance(0.2), price=Decimal("18.5"),
        )  # fmt: skip
        for _ in range(self.random.randint(0, 3)):
            make.length(
                cloth, received=self.some(500, 6000), dye_lot=self.random.choice(["", "A", "B"]),
                washed=self.chance(0.3), width=self.maybe(cloth.width - 20 * MM),
            )  # fmt: skip
        return cloth

    def _recipe(self, number: int) -> list[RecipeVersion]:
        """Tucks and pleats first, then what is worked by ratio; every technique in some of the studios."""
        techniques = textures.TUCKED if number < 3 else RATIO_TECHNIQUES
        technique = techniques[(3 * self.seed + number) % len(techniques)]

        def made() -> Content:
            textured = textures.tucked if number < 3 else textures.by_ratio
            return textured(self.random, technique)

        row = make.recipe(f"Texture {number}", of=made(), by=self.people[0])
        if self.chance():
            recipes.save_version(recipe=row, content=made(), typed={}, person=self.people[0])
        return list(row.versions.order_by("number"))

    def _sample(self) -> None:
        version, cloth = self.random.choice(self.versions), self.random.choice(self.fabrics)
        values: dict[str, Any] = {"fabric": cloth, "made_on": date(2026, 3, 2), "washed": self.chance()}
        values |= textures.measured(self.random, version)
        with suppress(ValidationError):
            samples.write_sample(version=version, values=values, person=self.people[1], system=System.METRIC)

    def _own_work(self) -> None:
        """Stages of the studio's own, one of them removed, and steps that its projects get."""
        dye = make.own_stage("Dye", after=self.apart.choice(["first", "prepare", "cut", "texture"]))
        fit = make.own_stage("Fit", after=self.apart.choice([dye.key, "make_up"]))
        self.stages = (dye.key, fit.key, make.own_stage("Bead", after=fit.key).key)
        for number, stage in enumerate(("cut", "texture", "finish", dye.key, fit.key)):
            make.template(
                f"Step {number}", stage=stage, per_panel=self.apart.random() < 0.5, order=9 - number,
                minutes=self.apart.choice([None, Decimal("7.25")]), at_start=self.apart.random() < 0.3,
                kind=self.apart.choice(["", "", "garment", "accessory"]), detail=f"As “usual” {number}.",
            )  # fmt: skip
        if self.apart.random() < 0.5:
            make.deletion(OwnStage.objects.get(key=self.stages[2]))

    def _hands(self) -> None:
        """What check measures of an earlier project showed, on cloth that a file may not hold too."""
        earlier = make.project("Earlier")
        run = Run.objects.create(project=earlier, key="1.1:sew:across:1")
        for number in range(self.apart.randint(0, 60)):
            op = UUID(int=self.apart.getrandbits(128))
            fact = BenchFact.objects.create(run=run, op=op, kind="check", unit=number + 1, device_at=NOW)
            HandChange.objects.create(
                fact=fact, person=self.apart.choice(self.people), tucks=self.apart.randint(3, 30),
                technique=self.apart.choice([*textures.TUCKED, "twin_needle"]),
                fabric=self.apart.choice([None, *self.fabrics]),
                change=self.apart.randint(-9_000_000, 9_000_000),
            )  # fmt: skip
        make.deletion(earlier)

    def _project(self, number: int) -> Project:
        project = make.project(
            f"Project {number}", washing=self.random.choice(["before", "after", "never"]),
            due=self.maybe(date(2026, 6, 1)), brief="Sleeves “narrow”,\nhem deep.",
            nightwear=self.chance(0.2),
            childrens_wear=self.chance(0.3), client=make.client(),
        )  # fmt: skip
        for order in range(self.random.randint(1, 4)):
            self._piece(project, order, self.textures[number + 3 - 3 * order] if order < 2 else None)
        for notion in self.notions:
            if self.chance():
                notions.set_need(notion=notion, project=project, amount=self.random.randint(1, 20_000))
        OtherCost.objects.create(project=project, what="Postage", amount=450)
        return project

    def _under(self) -> Fabric | None:
        """What lies under a piece, if its recipe is one with something beneath it."""
        return self.apart.choice([None, *self.fabrics])

    def _piece(self, project: Project, order: int, version: RecipeVersion | None) -> None:
        """With ``version`` where one is given, narrow enough for what it draws in; else with any or none."""
        count = self.random.randint(1, 4)
        values = {
            "name": f"Piece {order}", "across": self.some(120, 260) if version else self.some(200, 900),
            "along": self.some(200, 900),
            "count": count, "mirrored": count % 2 == 0 and self.chance(), "spare": self.chance(0.2),
            "fabric": self.maybe(self.random.choice(self.fabrics)), "may_turn": self.chance(0.2),
            "version": version or self.maybe(self.random.choice(self.versions)), "bordered": self.chance(0.2),
            "allowances_drawn": self.chance(0.2), "whole_repeats": self.chance(0.2),
            "typed": {"across": "in"}, **{u: self._under() for u in ("wadding", "backing")},
        }  # fmt: skip
        with suppress(ValidationError):
            piece = pieces.create_piece(project=project, values=values)
            for number in range(self.random.randint(0, 3)):
                values = textures.edge(self.random, self.random.choice(textures.FINISHES))
                cloth = self.maybe(self.random.choice(self.fabrics))
                Edge.objects.create(piece=piece, order=number, fabric=cloth, **values)

    def _work(self, project: Project) -> None:
        self._hold(project)
        self._lay(project)
        self._cut(project)
        self._steps(project)
        self._change(project)
        self._log(project)

    def _tried(self, do: Any) -> None:
        """What the rules of the studio refuse is left undone."""
        with suppress(ValidationError, ValueError, LookupError), transaction.atomic():
            do()

    def _hold(self, project: Project) -> None:
        for length in ClothLength.objects.order_by("pk"):
            if self.chance(0.4):
                amount = self.some(50, 900)
                self._tried(
                    lambda x=length, a=amount: stock.reserve(row=x, project=project, amount=a, person=None)
                )
            if self.chance(0.2):
                take = self.random.choice([stock.cut, stock.waste])
                amount = self.some(20, 300)
                self._tried(
                    lambda x=length, a=amount, t=take: t(row=x, project=project, amount=a, person=None)
                )
        for notion in self.notions:
            if self.chance():
                amount = self.random.randint(1, 6000)
                self._tried(
                    lambda n=notion, a=amount: stock.reserve(row=n, project=project, amount=a, person=None)
                )

    def _lay(self, project: Project) -> None:
        for cloth in self.fabrics:
            length = self.maybe(ClothLength.objects.filter(fabric=cloth).order_by("pk").first())
            if self.chance():
                self._tried(lambda c=cloth, x=length: lays.accept(
                    project=project, fabric=c, cloth=x, reserve=x is not None, seen=None,
                    person=self.people[0], at=NOW,
                ))  # fmt: skip

    def _cut(self, project: Project) -> None:
        for panel in Panel.objects.filter(piece__project=project).order_by("pk"):
            if not self.chance(0.3):
                continue
            kept = KeptLay.objects.filter(project=project, fabric=panel.piece.fabric).first()
            if kept and kept.cloth:
                self._tried(lambda p=panel: lay_cutting.mark_cut(
                    panel=p, person=self.people[0], now=timezone.now()
                ))  # fmt: skip
            else:
                self._tried(lambda p=panel: panels.book_cut(p, person=self.people[0], now=NOW))

    def _steps(self, project: Project) -> None:
        for step in plan_project(project).steps:
            of_its_own = step.key.split(":")[1].startswith("t") and step.key.split(":")[1][1:].isdigit()
            deed = (self.apart if of_its_own else self.random).randint(0, 9)
            key = step.key
            if deed == 0:
                self._tried(lambda k=key: steps.tick(project=project, key=k, person=self.people[1], now=NOW))
            elif deed == 1:
                self._tried(lambda k=key: steps.skip(
                    project=project, key=k, reason="Not needed", person=self.people[1], now=NOW
                ))  # fmt: skip
            elif deed == 2:
                self._tried(lambda k=key: steps.move(project=project, key=k, up=self.chance()))
        self._tried(lambda: steps.add_own(
            project=project, title="Sew on the buttons", stage="finish", minutes=Decimal("12.50")
        ))  # fmt: skip
        make.step(project, title="Pin it up", stage=self.apart.choice(self.stages), minutes=Decimal("5.00"))

    def _change(self, project: Project) -> None:
        """What was planned changes after some of it was cut, ticked and laid."""
        for piece in Piece.objects.live().filter(project=project):
            if self.chance(0.3):
                changes = {"across": piece.across + 10 * MM, "fabric": self.random.choice(self.fabrics)}
                self._tried(lambda p=piece, c=changes: pieces.change_piece(p, values=c, revision=p.revision))
            elif self.chance(0.1):
                pieces.delete_piece(piece, person=self.people[0])

    def _log(self, project: Project) -> None:
        done = list(project.steps.all())
        stages = [self.apart.choice(self.stages[:2])] * self.apart.randint(0, 1)
        stages += [self.random.choice(STAGES) for _ in range(self.random.randint(0, 6))]
        for number, stage in enumerate(stages):
            person = self.random.choice(self.people)
            logs.log_by_hand(
                person=person, entered_by=person, project=project, stage=stage,
                on=date(2026, 3, 1) + timedelta(days=number), minutes=self.random.randint(1, 200),
                step=self.random.choice(done) if done and self.chance() else None, note="by the window",
            )  # fmt: skip


def plans() -> dict[int, str]:
    """The plan of every living project as JSON, by the number on its prints."""
    rows = Project.objects.live().select_related("client").order_by("number")
    return {project.number: plan_text(plan_project(project)) for project in rows}


def decoys() -> None:
    """Rows that take numbers and are deleted, so that no row comes back under the number it had."""
    cloth, recipe = make.fabric("Decoy"), make.recipe("Decoy")
    project = make.project("Decoy", number=99_000)
    piece = make.piece(project, fabric=cloth, version=recipe.versions.get(), name="Decoy")
    other = make.piece(project, name="Decoy 2")
    panel, step = make.panel(piece), make.step(project)
    lengths, notion = [make.length(cloth), make.length(cloth)], make.notion("Decoy")
    make.deletion(project, piece, other, cloth, recipe, notion, *lengths)
    assert all(row.pk for row in (panel, step)) and Workroom.load()
