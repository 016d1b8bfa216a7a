"""The timer as every page shows it: what runs, whether it was forgotten, when a break is due.

A timer that was forgotten is neither stopped nor changed to other work before its person has said when they
stopped: the question goes along with what they were about to start.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import breaks, timing
from projects.calc import labour
from projects.forms.hours import StartForm
from projects.forms.timer import GapForm, StoppedForm
from projects.models import LabourLog, Person, Project, Step
from projects.planning.stages import stage_titles

from . import posts
from .bench_person import bench_person, come_back

BREAK = "break_put_off"
A_DAY = timedelta(days=1)
A_NIGHT = 8 * 60
"""Minutes of silence from which the time somebody stopped is asked for, and not guessed by a button."""


@dataclass(frozen=True)
class Clock:
    """The timer that runs: ``last`` is the last sign of work, ``asks_from`` when it counts as forgotten."""

    log: LabourLog
    person: Person
    signed_in: Person
    now: datetime
    last: datetime
    asks_from: datetime
    break_at: datetime | None

    @property
    def own(self) -> bool:
        return self.person.pk == self.signed_in.pk

    @property
    def forgotten(self) -> bool:
        return self.now >= self.asks_from

    @property
    def break_due(self) -> bool:
        return self.break_at is not None and self.now >= self.break_at

    @property
    def silence(self) -> int:
        """Minutes since the last sign of work."""
        return int((self.now - self.last).total_seconds()) // 60

    @property
    def sitting(self) -> int:
        return int((self.now - breaks.sitting_since(self.log)).total_seconds()) // 60

    @property
    def gap(self) -> int:
        return Silence(self.log).gap

    @property
    def gap_too_long(self) -> bool:
        return Silence(self.log).gap_too_long

    @property
    def asks_for_time(self) -> bool:
        """So long a silence that one tap must not count all of it: a night, or more than a log can hold."""
        return self.too_long or self.silence >= A_NIGHT

    @property
    def too_long(self) -> bool:
        """More than a log can hold, so that "just now" is no answer."""
        return self.now - self.log.started_at > A_DAY


@dataclass(frozen=True)
class Silence:
    """The silence before ``log`` that is asked about, whether or not its timer still runs."""

    log: LabourLog

    @property
    def gap(self) -> int:
        """Minutes; 0 where nothing is asked."""
        began = self.log.gap_from
        return int((self.log.started_at - began).total_seconds()) // 60 if began else 0

    @property
    def gap_too_long(self) -> bool:
        """More than a log can hold, so that "all of it" is no answer."""
        return bool(self.log.gap_from) and self.log.started_at - self.log.gap_from > A_DAY


def clock(request: HttpRequest) -> Clock | None:
    """The timer of whoever's hours run on this device; two queries. None when none runs."""
    person, now = bench_person(request), timezone.now()
    log = timing.running(person)
    if log is None:
        return None
    return Clock(
        log,
        person,
        request.user,
        now,
        timing.last_sign(log),
        timing.asks_from(log, request.workroom.zone),
        breaks.due_at(log, person, said_at=_put_off(request)),
    )


def _put_off(request: HttpRequest) -> datetime | None:
    at = request.session.get(BREAK)
    return datetime.fromtimestamp(at, UTC) if isinstance(at, (int, float)) else None


def logged(log: LabourLog) -> str:
    """What was logged, for a message."""
    if not log.minutes:
        return f"Less than half a minute for {log.project or 'no project'}: nothing was logged."
    return f"Logged {labour.format_minutes(log.minutes or 0)} for {log.project or 'no project'}."


def start(
    request: HttpRequest,
    *,
    project: Project | None,
    stage: str,
    step: Step | None = None,
    rework: bool = False,
    back: str,
) -> HttpResponse:
    """Start the timer and go ``back``; where the one that runs was forgotten, ask about it first."""
    work = {"project": project, "stage": stage, "step": step, "rework": rework}
    return posts.go(request, _started(request, work, back))


def goes_along(request: HttpRequest, done: Step, to: Step | None, back: str) -> str:
    """After ``done`` was ticked at the bench: the timer that runs on it goes on with ``to``, or is stopped
    where the form says so. The address to go to: ``back``, or where something has to be asked first."""
    log = timing.running(bench_person(request))
    if log is None or log.step_id != done.pk:
        return back
    if request.POST.get("timer") == "stop":
        return _ended(request, back)
    if to is None:
        return back
    return _started(request, {"project": to.project, "stage": to.stage, "step": to, "rework": False}, back)


def _started(request: HttpRequest, work: dict[str, Any], back: str) -> str:
    """Where to go once the timer was started, or has to be asked about before."""
    person = bench_person(request)
    project, step = work["project"], work["step"]
    before = timing.running(person)
    try:
        log = timing.start(person=person, now=timezone.now(), zone=request.workroom.zone, **work)
    except timing.Forgotten:
        then = {"then": 1, "project": getattr(project, "pk", ""), "stage": work["stage"], "back": back}
        then |= {"step": getattr(step, "pk", ""), "rework": "on" if work["rework"] else ""}
        return f"{reverse('timer_ask')}?{urlencode(then)}"
    if before and before.pk != log.pk:
        _say_stopped(request, before)
    what = step.title if step else log.project or "no project"
    whose = "" if person.pk == request.user.pk else f" of {person}"
    messages.success(request, f"The timer{whose} runs for {what}.")
    return back


def _say_stopped(request: HttpRequest, before: LabourLog) -> None:
    """What became of the timer that another start stopped."""
    stopped = LabourLog.objects.select_related("project").filter(pk=before.pk).first()
    if stopped is None:
        before.minutes = 0
    messages.success(request, logged(stopped or before))
    if stopped and stopped.gap_from:
        messages.warning(
            request, "The silence before it is not counted. Hours asks whether it was work, beside its log."
        )


@require_POST
def timer_start(request: HttpRequest) -> HttpResponse:
    """Start the timer; another one that runs is stopped and logged first. A second tap changes nothing."""
    back = come_back(request, "hours")
    form = StartForm(request.POST, workroom=request.workroom)
    if not form.is_valid():
        messages.error(request, "That project or stage could not be found; choose one from the list.")
        return posts.go(request, reverse("hours"))
    return start(request, back=back, step=_step(request.POST, form), **_work(form))


def _work(form: StartForm) -> dict[str, Any]:
    return {name: form.cleaned_data[name] for name in ("project", "stage", "rework")}


def _step(data: Any, form: StartForm) -> Step | None:
    """The step that goes along with a start that had to wait; nothing where it is none of the project's."""
    number, project = data.get("step", ""), form.cleaned_data["project"]
    if project is None or not (number.isascii() and number.isdecimal() and len(number) < 19):
        return None
    return Step.objects.filter(pk=int(number), project=project).first()


@require_POST
def timer_stop(request: HttpRequest) -> HttpResponse:
    return posts.go(request, _ended(request, come_back(request, "hours")))


def _ended(request: HttpRequest, back: str) -> str:
    """Where to go once the timer was stopped, or has to be asked about before."""
    person, now = bench_person(request), timezone.now()
    log = timing.running(person)
    if log and timing.forgotten(log, now=now, zone=request.workroom.zone):
        return f"{reverse('timer_ask')}?{urlencode({'back': back})}"
    return _stopped(request, timing.stop(person=person, now=now), back)


def _stopped(request: HttpRequest, log: LabourLog | None, back: str) -> str:
    if log is None:
        messages.success(request, "No timer is running; it may have been stopped on another device.")
    else:
        messages.success(request, logged(log))
        if log.pk and log.gap_from:
            back = f"{reverse('timer_gap')}?{urlencode({'log': log.pk, 'back': back})}"
    return back


@require_http_methods(["GET", "HEAD", "POST"])
def timer_ask(request: HttpRequest) -> HttpResponse:
    """When was a forgotten timer stopped? With ``then`` in the form, other work starts after the answer."""
    shown, back = clock(request), come_back(request, "hours")
    asked = request.POST if request.method == "POST" else request.GET
    then = StartForm(asked, workroom=request.workroom) if asked.get("then") else None
    if then is not None and not then.is_valid():
        then = None
    if shown is None or (request.method != "POST" and not shown.forgotten):
        return _go_on(request, then, back)
    form = StoppedForm(
        request.POST if request.method == "POST" else None, clock=shown, zone=request.workroom.zone
    )
    if form.is_bound and form.is_valid():
        return _answered(request, form, shown, then, back)
    context = {"clock": shown, "form": form, "back": back, "then": then, "asked": asked}
    context |= {"stages": stage_titles()}
    return posts.show(request, "hours/ask.html", context, status=422 if form.is_bound else 200)


def _answered(
    request: HttpRequest, form: StoppedForm, shown: Clock, then: StartForm | None, back: str
) -> HttpResponse:
    if form.cleaned_data["when"] == "still":
        timing.still_at_it(person=shown.person, now=timezone.now())
        messages.success(request, "The timer runs on, and the time without a sign of work counts.")
        return posts.go(request, back)
    log = timing.answer(
        person=shown.person, log=form.cleaned_data["log"] or shown.log.pk,
        at=form.cleaned_data["moment"], now=timezone.now(),
    )  # fmt: skip
    if log:
        messages.success(request, logged(log))
    return _go_on(request, then, back)


def _go_on(request: HttpRequest, then: StartForm | None, back: str) -> HttpResponse:
    """Nothing is left to ask: start what had to wait, if it was posted."""
    if then is None or request.method != "POST":
        return posts.go(request, back)
    return start(request, back=back, step=_step(request.POST, then), **_work(then))


@require_http_methods(["GET", "HEAD", "POST"])
def timer_gap(request: HttpRequest) -> HttpResponse:
    """Was a silence work, after which the timer was taken up again? Until answered it is not counted."""
    found, back = _silence(request), come_back(request, "hours")
    if found is None:
        return posts.go(request, back)
    silence, data = Silence(found), request.POST if request.method == "POST" else None
    form = GapForm(data, clock=silence, zone=request.workroom.zone)
    if form.is_bound and form.is_valid():
        more = timing.answer_gap(person=found.person, log=found.pk, until=form.cleaned_data["until"])
        said = f"{labour.format_minutes(more)} more are counted." if more else "The silence is not counted."
        messages.success(request, said)
        return posts.go(request, back)
    context = {"clock": silence, "form": form, "back": back, "stages": stage_titles()}
    return posts.show(request, "hours/gap.html", context, status=422 if form.is_bound else 200)


def _silence(request: HttpRequest) -> LabourLog | None:
    """The log that is asked about: one's own, or that of whoever's hours run on this device."""
    asked = request.POST.get("log", "") or request.GET.get("log", "")
    number = int(asked) if asked.isascii() and asked.isdecimal() and len(asked) < 19 else None
    return timing.with_silence(bench_person(request), number) or timing.with_silence(request.user, number)


@require_POST
def timer_break(request: HttpRequest) -> HttpResponse:
    """The reminder of a break was read: it comes again after as long a time."""
    request.session[BREAK] = timezone.now().timestamp()
    return posts.go(request, come_back(request, "hours"))


urlpatterns = [
    path("hours/start/", timer_start, name="timer_start"),
    path("hours/stop/", timer_stop, name="timer_stop"),
    path("hours/stopped/", timer_ask, name="timer_ask"),
    path("hours/silence/", timer_gap, name="timer_gap"),
    path("hours/break/", timer_break, name="timer_break"),
]
