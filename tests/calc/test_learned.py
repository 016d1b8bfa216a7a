"""What finished steps teach: against dense arithmetic of its own, by properties, and on simulated makers."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import combinations
from math import exp, log, sqrt
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.learned import (
    FACTOR_SD,
    LEVELS,
    Factor,
    Learned,
    Observation,
    learn,
    rate_variance,
)
from projects.calc.learning_curve import learning_curve
from projects.calc.mixed import MOST_COLUMNS, Spreads, inverse
from tests.bench.estimate_bench import held, range_of, run
from tests.strategies import FIXED
from tests.studio_sim import Truth

KNOWN = Spreads(1.0, 0.09, 0.09)
DRIVERS = ("tucks", "marks", "panels")


def step(
    minutes: int, planned: int = 60, *, person: int | None = 1, project: int = 1, technique: str = "tucks",
    driver: str = "tucks", repeat: int = 1, series: str = "",
) -> Observation:  # fmt: skip
    work = {driver: Decimal(planned)}
    return Observation(person, project, technique, work, Decimal(planned), minutes, repeat, series)


steps = st.lists(
    st.builds(
        step,
        st.integers(5, 400),
        st.integers(20, 200),
        person=st.integers(1, 3),
        project=st.integers(1, 4),
        technique=st.sampled_from(("tucks", "pleats")),
        driver=st.sampled_from(DRIVERS),
    ),
    max_size=12,
)


# -- by hand and by brute force ------------------------------------------------------------------------------


def test_nothing_logged_leaves_starting_values() -> None:
    factor = learn([]).factor("tucks", "pintucks", 1)
    assert (factor.mean, factor.steps, factor.starting) == (0, 0, True)
    assert factor.variance == FACTOR_SD**2 and factor.times == 1


def test_one_step_by_hand() -> None:
    """ln 2 told with variance 0.18, prior 0.1225, so mean and variance are parts of 0.3025."""
    factor = learn([step(120)], known=KNOWN).factor("tucks", "tucks", 1)
    assert factor.mean == pytest.approx(log(2) * 0.1225 / 0.3025)
    assert factor.variance == pytest.approx(0.1225 * 0.18 / 0.3025)
    assert factor.steps == 1 and not factor.starting
    assert factor.times == Decimal(f"{exp(factor.mean):.4f}")


def test_one_project_teaches_less_than_many() -> None:
    """Five steps twice as slow: in one project that may be the project, in five it is the maker."""
    same = learn([step(120) for _ in range(5)], known=KNOWN).factor("tucks", "tucks", 1)
    apart = learn([step(120, project=n) for n in range(5)], known=KNOWN).factor("tucks", "tucks", 1)
    assert same.mean == pytest.approx(log(2) * 0.1225 / (0.1225 + 0.09 + 0.09 / 5))
    assert apart.mean == pytest.approx(log(2) * 0.1225 / (0.1225 + 0.18 / 5))
    assert apart.variance < same.variance


def dense(seen: list[Observation], wanted: tuple[str, str, int]) -> tuple[float, float]:
    """Mean and variance of a factor by conditioning one large normal distribution, without shortcuts."""

    def levels(driver: str, technique: str, person: object) -> dict[object, float]:
        names = (
            ("all",), ("driver", driver), ("technique", driver, technique), ("person", person),
            ("person's driver", driver, person), ("person's technique", driver, technique, person),
        )  # fmt: skip
        return {name: LEVELS[name[0]] * FACTOR_SD**2 for name in names}

    def loads(one: Observation) -> dict[object, float]:
        found: dict[object, float] = {}
        for driver, minutes in one.work.items():
            for name in levels(driver, one.technique, one.person):
                found[name] = found.get(name, 0.0) + float(minutes / one.planned)
        return found

    prior = {n: v for one in seen for d in one.work for n, v in levels(d, one.technique, one.person).items()}
    own = levels(*wanted)
    prior |= own
    z = [loads(one) for one in seen]
    count = len(seen)
    between = [[sum(a[n] * b.get(n, 0.0) * prior[n] for n in a) for b in z] for a in z]
    for i in range(count):
        for j in range(count):
            same = (seen[i].person, seen[i].project) == (seen[j].person, seen[j].project)
            between[i][j] += 0.09 * same + 0.09 * (i == j)
    across = [sum(a.get(n, 0.0) * v for n, v in own.items()) for a in z]
    told = [log(one.minutes / float(one.planned)) for one in seen]
    solved, gain = _solve(between, told), _solve(between, across)
    return (
        sum(a * s for a, s in zip(across, solved, strict=True)),
        sum(own.values()) - sum(a * g for a, g in zip(across, gain, strict=True)),
    )


def _solve(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Gauss's elimination."""
    rows = [[*line, value] for line, value in zip(matrix, right, strict=True)]
    for at in range(len(rows)):
        for other in range(len(rows)):
            if other != at:
                times = rows[other][at] / rows[at][at]
                rows[other] = [a - times * b for a, b in zip(rows[other], rows[at], strict=True)]
    return [row[-1] / row[at] for at, row in enumerate(rows)]


@pytest.mark.parametrize("seed", range(8))
def test_factors_agree_with_one_large_normal_distribution(seed: int) -> None:
    rng = Random(seed)
    seen = []
    for _ in range(rng.randint(4, 14)):
        work = {d: Decimal(rng.randint(5, 90)) for d in rng.sample(DRIVERS, rng.randint(1, 3))}
        planned = sum(work.values(), Decimal(0))
        took = max(1, round(float(planned) * exp(rng.gauss(0.2, 0.5))))
        technique = rng.choice(("tucks", "pleats"))
        seen.append(Observation(rng.randint(1, 2), rng.randint(1, 3), technique, work, planned, took))
    learned = learn(seen, known=KNOWN)
    for key in {(d, one.technique, one.person) for one in seen for d in one.work}:
        mean, variance = dense(seen, key)  # type: ignore[arg-type]
        factor = learned.table[key]
        assert factor.mean == pytest.approx(mean, abs=1e-9)
        assert factor.variance == pytest.approx(variance, abs=1e-9)


def test_inverse_of_a_matrix_with_an_empty_corner() -> None:
    """diag blocks [[2]], [[4]] and a third column that meets both."""
    found = inverse([[2.0], [0.0, 4.0], [1.0, 1.0, 3.0]], [0, 1, 0])
    whole = [[2.0, 0.0, 1.0], [0.0, 4.0, 1.0], [1.0, 1.0, 3.0]]
    for i in range(3):
        for j in range(3):
            product = sum(whole[i][k] * found[k][j] for k in range(3))
            assert product == pytest.approx(float(i == j))


# -- falling back --------------------------------------------------------------------------------------------


def test_what_is_not_known_falls_back_and_is_less_sure() -> None:
    learned = learn([step(120, project=n, technique="pleats") for n in range(8)], known=KNOWN)
    own = learned.factor("tucks", "pleats", 1)
    elsewhere, other = learned.factor("tucks", "smocking", 1), learned.factor("tucks", "pleats", 2)
    unseen = learned.factor("panels", "pleats", 1)
    assert elsewhere.mean == other.mean == own.mean
    assert own.variance < elsewhere.variance < other.variance < unseen.variance
    assert 0 < unseen.mean < own.mean / 2 and unseen.variance < FACTOR_SD**2
    assert other.key == ("tucks", "pleats", 2)


def test_people_are_told_apart_and_the_studio_lies_between() -> None:
    slow = [step(120, project=n, person=1) for n in range(8)]
    quick = [step(40, project=n, person=2) for n in range(8)]
    learned = learn(slow + quick, known=KNOWN)
    one, two, studio = (learned.factor("tucks", "tucks", who) for who in (1, 2, None))
    assert one.mean > 0.3 and two.mean < -0.1
    assert two.mean < studio.mean < one.mean
    assert studio.variance > max(one.variance, two.variance)
    assert studio.steps == 16


def test_rows_read_back() -> None:
    learned = learn([step(90, person=who, project=n) for n in range(3) for who in (1, 2)])
    again = Learned.of(learned.rows(), learned.shared_sd, learned.step_sd)
    assert again == Learned(dict(learned.table), learned.shared_sd, learned.step_sd)


# -- properties ----------------------------------------------------------------------------------------------


@given(seen=steps, more=steps)
@settings(FIXED, max_examples=60)
def test_more_logs_never_leave_a_persons_factor_less_sure(
    seen: list[Observation], more: list[Observation]
) -> None:
    before, after = learn(seen, known=KNOWN), learn(seen + more, known=KNOWN)
    for one in seen:
        for driver in one.work:
            key = (driver, one.technique, one.person)
            assert after.table[key].variance <= before.table[key].variance + 1e-9


@given(seen=steps, seed=st.integers(0, 99))
@settings(FIXED, max_examples=60)
def test_the_order_of_logs_does_not_matter(seen: list[Observation], seed: int) -> None:
    shuffled = seen[:]
    Random(seed).shuffle(shuffled)
    assert learn(shuffled) == learn(seen)


@given(seen=steps)
@settings(FIXED, max_examples=60)
def test_slower_logs_never_make_a_quicker_factor(seen: list[Observation]) -> None:
    slower = [replace(one, minutes=one.minutes * 2) for one in seen]
    before, after = learn(seen, known=KNOWN), learn(slower, known=KNOWN)
    for key, factor in before.table.items():
        assert after.table[key].mean >= factor.mean - 1e-9


@given(planned=st.lists(st.integers(10, 300), min_size=1, max_size=9), times=st.integers(2, 9))
@settings(FIXED, max_examples=40)
def test_ranges_scale_with_planned_minutes(planned: list[int], times: int) -> None:
    factor = Factor(0.2, 0.05, 3, ("tucks", "", 1))
    once = range_of([((Decimal(100 * m), factor),) for m in planned])
    more = range_of([((Decimal(100 * m * times), factor),) for m in planned])
    for a, b in ((once.low, more.low), (once.middle, more.middle), (once.high, more.high)):
        assert abs(b - a * times) <= times


def test_less_sure_factors_make_wider_ranges() -> None:
    spans = []
    for variance in (0.0, 0.05, 0.1225, 0.3):
        reach = range_of([((Decimal(600), Factor(0.0, variance, 1, ("tucks", "", 1))),)])
        spans.append(log(reach.high / reach.low) / 2 / 1.2816)
        assert spans[-1] == pytest.approx(sqrt(0.18 + variance), abs=0.02)
    assert spans == sorted(spans)


def test_the_same_factor_is_wrong_everywhere_alike() -> None:
    """Two halves of one factor stray like the whole; of two factors they partly cancel out."""
    one, other = Factor(0, 0.1, 1, ("a", "", 1)), Factor(0, 0.1, 1, ("b", "", 1))
    assert rate_variance([(0.5, one), (0.5, one)])[0] == pytest.approx(0.1)
    assert 0.05 < rate_variance([(0.5, one), (0.5, other)])[0] < 0.1
    assert rate_variance([]) == (0, 0)


# -- spreads, wild logs, many columns ------------------------------------------------------------------------


def _logs(seed: int, sd: float, count: int = 120) -> list[Observation]:
    rng = Random(seed)
    shared = {project: rng.gauss(0, sd) for project in range(count // 6)}
    return [
        step(max(1, round(300 * exp(shared[n // 6] + rng.gauss(0, sd)))), 300, project=n // 6)
        for n in range(count)
    ]


def test_spreads_move_towards_what_logs_show() -> None:
    calm, wild = learn(_logs(1, 0.1)), learn(_logs(1, 0.5))
    assert calm.step_sd < 0.15 and calm.shared_sd < 0.2
    assert 0.42 < wild.step_sd < 0.58 and 0.36 < wild.shared_sd < 0.64
    assert learn(_logs(1, 0.5, 6)).step_sd < wild.step_sd


def test_a_forgotten_timer_teaches_as_ten_times_at_most() -> None:
    assert learn([step(60_000)]) == learn([step(600)])


def test_more_columns_than_are_reckoned_keep_what_rows_say_most_about() -> None:
    rng = Random(2)
    few = [step(120, project=n, driver="tucks", technique="t0") for n in range(30)]
    many = [
        step(rng.randint(50, 70), person=n % 9, project=n, driver=f"d{n % 40}", technique=f"t{n % 7}")
        for n in range(2 * MOST_COLUMNS)
    ]
    learned = learn(few + many, known=KNOWN)
    assert learned.factor("tucks", "t0", 1).mean > 0.3
    for factor in learned.table.values():
        assert 0 < factor.variance < 2 * FACTOR_SD**2


# -- the learning curve --------------------------------------------------------------------------------------


def _repeats(seed: int, rate: float, *, shared: float = 0.0, projects: int = 3) -> list[Observation]:
    rng = Random(seed)
    return [
        step(
            round(600 * rate ** (log(n) / log(2)) * exp(shared * project + rng.gauss(0, 0.15))),
            600, project=project, repeat=n, series="sew",
        )
        for project in range(projects)
        for n in range(1, 9)
    ]  # fmt: skip


def test_a_curve_that_is_there_is_found() -> None:
    assert abs(learning_curve(_repeats(1, 0.8)) - Decimal("0.8")) <= Decimal("0.05")


def test_no_curve_without_evidence() -> None:
    assert learning_curve([]) == 1
    assert learning_curve(_repeats(1, 0.8, projects=1)[:3]) == 1
    assert learning_curve([step(60), step(40, project=2), step(30, project=3)] * 5) == 1


def test_chance_seldom_shows_a_curve_and_slower_projects_never_do() -> None:
    found = [learning_curve(_repeats(seed, 1.0)) != 1 for seed in range(200)]
    assert sum(found) <= 20  # 5 % of 200 are 10
    moved = [learning_curve(_repeats(seed, 1.0, shared=-0.5)) != 1 for seed in range(200)]
    assert moved == found or abs(sum(moved) - sum(found)) <= 2


def test_a_curve_takes_repeats_back_to_a_first_time() -> None:
    seen = _repeats(1, 0.8)
    raw, first = learn(seen, known=KNOWN), learn(seen, Decimal("0.8"), known=KNOWN)
    assert abs(first.factor("tucks", "tucks", 1).mean) < 0.1 < -raw.factor("tucks", "tucks", 1).mean


# -- simulated makers: the bench with fewer of them ----------------------------------------------------------


def test_ranges_hold_and_forecasts_help() -> None:
    score = run(Truth(), 8)
    assert 0.72 <= held(score.step, 10, 30) <= 0.88
    middle = sorted(score.forecast)[4], sorted(score.plain)[4]
    assert middle[0] <= middle[1] * 2 / 3


def test_pairs_of_levels_sum_to_the_whole_variance() -> None:
    assert sum(LEVELS.values()) == pytest.approx(1)
    assert all(LEVELS[a] > 0 and LEVELS[b] > 0 for a, b in combinations(LEVELS, 2))
