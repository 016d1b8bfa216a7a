"""What checks ask of the hand, said in steps a hand can set, and what a wrong depth does."""

import json
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any

from projects.activities.bench import Bench
from projects.calc.correct import STARTING_HAND, Hand, Skew
from projects.models import Person
from projects.planning.hands import hand_of
from projects.planning.run_advice import Asked, Checked, asked_now, just_wrong

from .bench_numbers import listed
from .bench_words import Words, sentence

SAID_FROM = 50_000
"""A hand that is off by less is said to sew as planned, nm: depths are said to 0.1 mm."""
FEW = 4
"""Where no more than one in so many of those left are not corrected, these are named instead."""


def _kept(asked: dict[str, Any], text: str) -> dict[str, Any]:
    """An instruction: what is kept when it is taken up, for a script and for a form, and its words."""
    return {"asked": asked, "asked_json": json.dumps(asked), "text": text}


def hand_for(bench: Bench, person: Person) -> Hand:
    """This person's own past on such cloth; what this run itself taught is in its checks already."""
    run, row = bench.run, bench.row
    if run is None:
        return STARTING_HAND
    return hand_of(person.pk, run.technique, run.fabric_id, without=row.pk if row else None)


def advice_data(bench: Bench, person: Person, words: Words) -> dict[str, Any] | None:
    """The two instructions apart, each with what is kept when it is taken up; None: nothing to say."""
    if bench.run is None or not bench.run.checks:
        return None
    asked = asked_now(
        bench.run, bench.state, bench.placing, words.system, hand_for(bench, person)
    )
    if asked is None:
        return None
    said = verdict(asked.checked, words) if asked.checked and _fresh(bench, asked.checked) else []
    agreed = _agreed(asked, bench, words)
    if not said and not asked.says and not agreed:
        return None
    stays = _stays(asked, words) if asked.says or asked.kept or agreed else ""
    return {
        "lines": [*said, *(_expects(asked, words) if asked.says else ()), *agreed],
        "guide": _guide(asked, words, bench),
        "correct": _correct(asked, words, bench),
        "stays": stays,
    }


def _fresh(bench: Bench, checked: Checked) -> bool:
    """Whether the check is the last thing that happened, notes and answers aside."""
    after = [f for f in bench.state.live if f.place > checked.fact.place]
    return not any(fact.kind in ("sewn", "resew") for fact in after)


def verdict(checked: Checked, words: Words) -> list[str]:
    """What a check says: E and r told apart, what can't be told, and skew."""
    judged, lines = checked.judged, []
    if checked.aside:
        name = f"{words.run.one} {checked.fact.unit}"
        return [
            f"The measure after {name} no longer counts: what it was made over was taken back. "
            "Nothing is corrected by it."
        ]
    if judged.excess is None:
        lines.append(
            "Without the second reading it can't be told whether the panel comes out long or short."
        )
    else:
        lines.append(_together(checked, words))
    if _shown(judged.shift, words):
        way = "farther on" if judged.shift > 0 else "nearer"
        lines.append(f"The seam sits {words.length(abs(judged.shift))} {way} than planned.")
    if checked.doubt:
        lines.append(
            "That is farther off than tucks stray: measure once more at the same seam, or take the reading "
            "back. Until then nothing is corrected by it."
        )
    if checked.leap:
        lines.append("Measured twice, so it counts as it is; this hand is not judged by it.")
    if checked.skew:
        lines.extend(_askew(checked.skew, words))
    return lines


def _together(checked: Checked, words: Words) -> str:
    """What both readings come to beside the plan, and beside what was expected with what was agreed."""
    off = checked.judged.excess or 0
    if not _shown(off, words):
        return "Both readings together are as planned."
    band, said = words.length(checked.near_enough), f"Both readings together are {_too_long(off, words)}"
    if checked.judged.fine:
        return f"{said}: within {band}, near enough."
    if checked.as_expected:
        expected = _too_long(checked.expected or 0, words)
        return f"{said} so far. With what was agreed {expected} was expected: go on, nothing is wrong."
    return f"{said}: more than the {band} that is near enough."


def _askew(skew: Skew, words: Words) -> Iterable[str]:
    """How the other end differs: where its seam sits, what the panel comes out at there."""
    if skew.runs_askew:
        way = "farther" if skew.seam > 0 else "nearer"
        much = words.length(abs(skew.seam))
        yield f"The seam runs askew: at its other end it sits {much} {way}. Even it out over the next few."
    if skew.uneven and skew.extent is not None:
        way = "longer" if skew.extent > 0 else "shorter"
        yield f"At its other end the panel comes out {words.length(abs(skew.extent))} {way} than at this one."


def _shown(nm: int, words: Words) -> bool:
    return words.split(abs(nm))[0] != "0"


def _guide(asked: Asked, words: Words, bench: Bench) -> dict[str, Any] | None:
    if asked.guide is None:
        return None
    change = asked.guide - bench.state.guide
    way = "deeper" if change > 0 else "shallower"
    depths = dict.fromkeys(
        (u.letter, u.depth + asked.guide) for u in words.run.units
        if u.depth is not None and u.number not in bench.state.sewn
    )  # fmt: skip
    at = ", ".join(f"{letter} at {words.deep_text(depth)}".strip() for letter, depth in list(depths)[:6])
    much = words.deep_text(abs(change))
    text = f"Move the guide {much} {way} from here on: {at}. {_then(asked, words)}"
    return _kept({"guide": asked.guide}, text)


def _then(asked: Asked, words: Words) -> str:
    """How tucks come out with the guide moved: a step is seldom just what a hand is off by."""
    off = asked.advice.off
    if abs(off) < SAID_FROM:
        return "Tucks then come out as planned."
    way = "deep" if off > 0 else "shallow"
    return (
        f"That is the nearest step: tucks then come out {_about(off, words)} too {way}, "
        "which is reckoned with."
    )


def _correct(asked: Asked, words: Words, bench: Bench) -> dict[str, Any] | None:
    if not asked.corrects:
        return None
    guide = asked.guide if asked.guide is not None else bench.state.guide
    rest = "the rest as the guide is set" if guide else "the rest as planned"
    parts = [f"Correct no more: {rest}."] if asked.ends else []
    if asked.steps:
        instead = any(number not in bench.state.sewn for number in bench.state.steps)
        correct = "Correct, instead of what was asked before" if instead else "Correct"
        left = [unit.number for unit in words.run.units if unit.number not in bench.state.sewn]
        parts.append(f"{correct}: {'; '.join(_at_depths(asked.steps, guide, words, left))}, {rest}.")
    if asked.spaces:
        moved = [(number, change) for number, change in asked.spaces.items() if change]
        parts.append(f"Spaces: {'; '.join(_spaces(moved, words))}.")
    kept = {
        "steps": {str(n): step for n, step in asked.steps.items()},
        "spaces": {str(n): change for n, change in asked.spaces.items()},
    }
    return _kept(kept, " ".join(parts))


def _agreed(asked: Asked, bench: Bench, words: Words) -> list[str]:
    """The corrections taken up that are still to come, unless others are asked for in their place."""
    if not asked.agreed or asked.corrects:
        return []
    left = [unit.number for unit in words.run.units if unit.number not in bench.state.sewn]
    return [f"Agreed: {'; '.join(_at_depths(asked.agreed, bench.state.guide, words, left))}."]


def _at_depths(steps: Mapping[int, int], guide: int, words: Words, left: Sequence[int]) -> Iterable[str]:
    """ "numbers 20, 24 and 28 at 7.5 mm", by depth; where nearly all that are ``left`` are meant, those that
    are not."""
    by_depth: dict[int, list[int]] = {}
    for number, step in steps.items():
        deep = (words.run.by_number[number].depth or 0) + guide + step
        by_depth.setdefault(deep, []).append(number)
    for depth, numbers in sorted(by_depth.items()):
        yield f"{_numbers(numbers, left)} at {words.deep_text(depth)}"


def _spaces(moved: list[tuple[int, int]], words: Words) -> Iterable[str]:
    ordered = sorted(moved, key=lambda pair: pair[1])
    for change, group in groupby(ordered, key=lambda pair: pair[1]):
        way = "wider" if change > 0 else "narrower"
        yield f"before {_numbers([n for n, _ in group])} {words.length(abs(change))} {way}"


def _numbers(numbers: list[int], left: Sequence[int] = ()) -> str:
    """ "number 9", "numbers 9 and 12", "every other one from 9 to 19", "all that are left but 12"."""
    others = sorted(set(left) - set(numbers))
    if len(numbers) > 1 and left and set(numbers) <= set(left) and len(others) * FEW <= len(left):
        return f"all that are left but {listed(others)}" if others else "all that are left"
    said = listed(numbers)
    if said.startswith("every"):
        return said
    return f"number{'s' if len(numbers) > 1 else ''} {said}"


def _expects(asked: Asked, words: Words) -> Iterable[str]:
    """The one estimate of what the panel comes to if nothing is changed, and what of it this hand adds."""
    advice, off = asked.advice, asked.advice.bias + asked.advice.guide_was
    if not advice.left or not _shown(asked.as_agreed, words):
        return
    hand = ""
    if abs(off) >= SAID_FROM:
        way = "deep" if off > 0 else "shallow"
        whose = "in this run this hand sews" if advice.told else "this hand has sewn"
        hand = f" {sentence(whose)} {_about(off, words)} too {way}, and {advice.left} are left."
    so = "As agreed so far" if asked.agreed else "With nothing changed"
    yield f"{so}, the panel is expected to come out {_too_long(asked.as_agreed, words)}.{hand}"


def _about(nm: int, words: Words) -> str:
    """ "about 0.3 mm", "less than 0.1 mm"."""
    much = words.deep_text(abs(nm))
    return much if much.startswith("less") else f"about {much}"


def _too_long(nm: int, words: Words) -> str:
    if not _shown(nm, words):
        return "as long as planned"
    return f"{words.length(abs(nm))} too {'long' if nm > 0 else 'short'}"


def _stays(asked: Asked, words: Words) -> str:
    """What is expected at the end when all that is asked and agreed is done."""
    if not asked.advice.told and not asked.says:
        return ""
    if not asked.advice.told:
        return "This rests on this hand's earlier work alone; a check measure will tell more."
    parts = []
    if asked.guide is not None:
        parts.append("the guide moved")
    elif asked.kept:
        parts.append("the guide where it is")
    if asked.corrects:
        parts.append("these corrections" if parts else "that")
    elif asked.agreed:
        parts.append("what is agreed")
    so = f"With {' and '.join(parts)}" if parts else "So far"
    end = f"{so} the panel is expected to come out {_too_long(asked.stays, words)}."
    if asked.guide is None or not _shown(asked.stays, words):
        return end
    return f"{end} Which single tucks are to take that out is worked out once you have answered."


def wrong_data(bench: Bench, words: Words) -> dict[str, Any] | None:
    """A unit just sewn at a wrong depth: what it makes the panel, and how it is sewn again."""
    if bench.run is None:
        return None
    found = just_wrong(bench.run, bench.state, bench.placing)
    if found is None:
        return None
    short = "short" if found.does.shorter > 0 else "long"
    name = words.unit_name(found.unit)
    return {
        "unit": found.unit.number,
        "text": (
            f"{name[:1].upper()}{name[1:]} is {words.deep_text(found.sewn)} deep where "
            f"{words.deep_text(found.asked)} was asked: it makes the panel "
            f"{words.length(abs(found.does.shorter))} {short}{_seams(found.does.later_seams, words)}."
        ),
        "how": "To sew it again, the new line first, then unpick the old one; or leave it to the rest.",
    }  # fmt: skip


def _seams(later: int, words: Words) -> str:
    if not _shown(later, words):
        return ""
    way = "nearer" if later > 0 else "farther"
    return f", and the seams after it lie {words.length(abs(later))} {way}"
