"""Numbers of units as they are said: shortened where many follow one another. A device says them alike."""

from collections.abc import Iterable, Sequence

STEPS = {2: "every other one", 3: "every third", 4: "every fourth", 5: "every fifth", 6: "every sixth"}
ALIKE = 4
"""So many at the same distance are said as one."""
MOST = 8
"""So many parts are said; those beyond are counted."""


def listed(numbers: Iterable[int]) -> str:
    """In order of number; each once.

    >>> listed([3, 4, 5]), listed(range(3, 10)), listed([20, 2, 4, 6, 8])
    ('3, 4 and 5', '3 to 9', 'every other one from 2 to 8 and 20')
    >>> listed([1, 2, 4, 8, 9, 11, 15, 16, 18, 22])
    '1, 2, 4, 8, 9, 11, 15 and 3 more'
    """
    parts = _parts(sorted(set(numbers)))
    if len(parts) > MOST:
        left = sum(len(part) for part in parts[MOST - 1 :])
        return f"{', '.join(map(_said, parts[: MOST - 1]))} and {left} more"
    *most, last = map(_said, parts or [[]])
    return f"{', '.join(most)} and {last}" if most else last


def _parts(numbers: Sequence[int]) -> list[Sequence[int]]:
    found: list[Sequence[int]] = []
    start = 0
    while start < len(numbers):
        end = _end(numbers, start)
        alike = end - start >= ALIKE
        found.append(numbers[start:end] if alike else numbers[start : start + 1])
        start += len(found[-1])
    return found


def _end(numbers: Sequence[int], start: int) -> int:
    """Up to where numbers go on at the same distance, if that has a name."""
    end = start + 1
    step = numbers[end] - numbers[start] if end < len(numbers) else 0
    if step != 1 and step not in STEPS:
        return end
    while end < len(numbers) and numbers[end] - numbers[end - 1] == step:
        end += 1
    return end


def _said(part: Sequence[int]) -> str:
    if len(part) < 2:
        return "".join(map(str, part))
    step, ends = part[1] - part[0], f"{part[0]} to {part[-1]}"
    return ends if step == 1 else f"{STEPS[step]} from {ends}"
