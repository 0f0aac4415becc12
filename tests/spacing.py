"""Is what comes next well chosen? Simulated apprentices practice by our rule and in fixed order.

    uv run python tests/spacing.py
    uv run python tests/spacing.py --apprentices 500 --model activation

The rule is `coursework.page.spacing`, as it is, on the course's own practice questions. Nobody here
learns as the rule believes: there are three models of learning and forgetting, all published.

tracing     Knowledge tracing (Corbett & Anderson 1995, User Modeling and User-Adapted Interaction
            4:253-278): a skill is known or not, is learned at an answer with a fixed chance, and
            is guessed or slipped. Guess at most 0.3 and slip at most 0.1 are their limits. On each
            day without it a known skill is forgotten with a fixed chance, and may be guessed then:
            the variant with forgetting of Qiu, Qi, Lu, Pardos & Heffernan 2011 (Educational Data
            Mining), whose chance each simulated apprentice draws for himself.
activation  Every meeting with a question leaves a trace that fades as a power of time, the slower
            the less of it was there (Pavlik & Anderson 2005, Cognitive Science 29:559-586, with
            their a, c, tau, s and h). It has the spacing effect, and knows no boxes and no skills.
savings     Ebbinghaus 1885, Memory: after t minutes b = 100 k / ((log t)^c + k) percent of the work
            is saved, with his k and c (section 29); each day of learning more leaves two thirds of
            the loss, as his table of six days does (section 31). The share saved is taken as the
            chance of a right answer.

From memory, not looked up in print again: tau, s and h of `activation`, the limits of guess and
slip, and the figures of Ebbinghaus. How likely a skill is known at first, is learned at an answer
and is forgotten in a day are ranges of our own.

Printed: what the rule believes against what was seen, in ten bins, with Brier score and calibration
slope (1 is right, below 1 too sure); and how many answers less than in fixed order lead to the
same share known, at the end and 30 days later.
"""

from __future__ import annotations

import argparse
import math
import multiprocessing
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from coursework.course import PAGES
from coursework.page.progress import practice_of
from coursework.page.spacing import Standing, after_answer, believed, next_up, right_share

Array = NDArray[np.float64]

START = date(2026, 9, 7)  # a Monday
A_ROUND, ROUNDS = 3, 3  # of one sitting
SITTINGS = 56  # five a week; fixed order's target is what it has reached at sitting TARGET
TARGET = 40
OPENS_EVERY = 3  # a lesson every three sittings
MONTH = 30
GROUP = 100  # apprentices, whose mean is one class
MINUTE = 60.0
DAY = 86_400.0
#: Part of the loss that is left after one more day of learning (Ebbinghaus 1885, section 31).
LOST_EACH = 2 / 3


def course_questions() -> list[tuple[str, str, int]]:
    """Return key, skill and lesson of every practice question, in the order of the course."""
    return [
        (question.key, question.skill, turn)
        for turn, page in enumerate(PAGES.values())
        for question in practice_of(page)
    ]


QUESTIONS = course_questions()
SKILLS = sorted({skill for _, skill, _ in QUESTIONS})


# ---------------------------------------------------------------- the models


def traced(known: float, *, right: bool, learn: float, guess: float, slip: float) -> float:
    """Return the chance that a skill is known after an answer (Corbett & Anderson 1995)."""
    if right:
        given = known * (1 - slip) / (known * (1 - slip) + (1 - known) * guess)
    else:
        given = known * slip / (known * slip + (1 - known) * (1 - guess))
    return given + (1 - given) * learn


def savings(minutes: float | Array) -> Array:
    """Return the share of the work that is saved after so many minutes (Ebbinghaus 1885)."""
    logs = np.log10(np.maximum(minutes, 1.0))
    return np.asarray(1.84 / (logs**1.25 + 1.84))


def kept_share(minutes: float | Array, learned: float | Array, each: float | Array) -> Array:
    """Return the share that is saved after it was learned on so many days (Ebbinghaus 1885)."""
    return np.asarray(1 - (1 - savings(minutes)) * np.asarray(each) ** (np.asarray(learned) - 1))


class Tracing:
    """Skills that are known or not."""

    def __init__(self, draw: np.random.Generator) -> None:
        count = len(SKILLS)
        self.draw = draw
        self.place = np.array([SKILLS.index(skill) for _, skill, _ in QUESTIONS])
        self.known = draw.random(count) < draw.uniform(0.05, 0.5)
        self.learn = draw.uniform(0.05, 0.4, count)
        self.guess = draw.uniform(0.05, 0.3, len(QUESTIONS))
        self.slip = draw.uniform(0.02, 0.1, len(QUESTIONS))
        self.forget = draw.uniform(0.02, 0.2)
        self.today = 0
        self.met = np.zeros(count)  # day

    def go_to(self, day: int) -> None:
        """Begin a new day."""
        self.today = day

    def meet(self, skill: int) -> None:
        """Forget a skill by chance, where it was last met on an earlier day."""
        if self.met[skill] < self.today:
            self.known[skill] &= self.draw.random() >= self.forget
            self.met[skill] = self.today

    def read(self, lesson: int) -> None:
        """Read a lesson: each of its skills is met once."""
        for skill in sorted(
            {self.place[at] for at, one in enumerate(QUESTIONS) if one[2] == lesson}
        ):
            self.meet(skill)
            self.known[skill] |= self.draw.random() < self.learn[skill]

    def answer(self, at: int, second: float) -> bool:
        """Answer a question, and learn by it."""
        skill = self.place[at]
        self.meet(skill)
        chance = 1 - self.slip[at] if self.known[skill] else self.guess[at]
        self.known[skill] |= self.draw.random() < self.learn[skill]
        return bool(self.draw.random() < chance)

    def share(self, days: int) -> float:
        """Return the share of skills that would be known, so many days on."""
        new_day = self.met < self.today + days
        return float((self.known * np.where(new_day, 1 - self.forget, 1.0)).mean())


class Activation:
    """Traces that fade as a power of time."""

    a, c, tau, s, h = 0.177, 0.217, -0.704, 0.255, 0.025
    spread = 0.3  # of persons and of questions, our own choice

    def __init__(self, draw: np.random.Generator) -> None:
        self.draw = draw
        self.own = draw.normal(0, self.spread) + draw.normal(0, self.spread, len(QUESTIONS))
        self.at = np.full((len(QUESTIONS), 8 * SITTINGS), -np.inf)  # a trace not made: long gone
        self.decay = np.ones_like(self.at)
        self.count = np.zeros(len(QUESTIONS), dtype=int)
        self.clock = 0.0  # time as memory counts it: slower between sittings
        self.today = 0

    def go_to(self, day: int) -> None:
        """Let the time between sittings go by."""
        self.clock += self.h * DAY * (day - self.today)
        self.today = day

    def strength(self, which: slice | int, later: float = 0.0) -> Array:
        """Return how much is there of each question."""
        most = int(np.max(self.count[which]))
        age = np.maximum(self.clock + later - self.at[which, ..., :most], 1.0)
        return np.asarray((age ** -self.decay[which, ..., :most]).sum(axis=-1))

    def chance(self, which: slice | int, later: float = 0.0) -> Array:
        """Return the chance of a right answer."""
        with np.errstate(divide="ignore"):
            there = np.log(self.strength(which, later)) + self.own[which]
        return np.asarray(1 / (1 + np.exp(np.clip((self.tau - there) / self.s, -50, 50))))

    def meet(self, at: int) -> None:
        """Leave a trace."""
        self.decay[at, self.count[at]] = self.c * float(self.strength(at)) + self.a
        self.at[at, self.count[at]] = self.clock
        self.count[at] += 1

    def read(self, lesson: int) -> None:
        """Read a lesson: each of its questions is met once."""
        for at, one in enumerate(QUESTIONS):
            if one[2] == lesson:
                self.clock += MINUTE
                self.meet(at)

    def answer(self, at: int, second: float) -> bool:
        """Answer a question; right or wrong, it is met once more."""
        self.clock += second
        right = bool(self.draw.random() < float(self.chance(at)))
        self.meet(at)
        return right

    def share(self, days: int) -> float:
        """Return the share of questions that would come right, so many days on."""
        return float(self.chance(slice(None), self.h * DAY * days).mean())


class Savings:
    """What is lost follows Ebbinghaus's formula; it is less, the more days it was met on."""

    def __init__(self, draw: np.random.Generator) -> None:
        self.draw = draw
        # 2/3 is what his table comes to; that questions differ is our own choice
        self.each = draw.uniform(LOST_EACH - 0.15, LOST_EACH + 0.15, len(QUESTIONS))
        self.days = np.zeros(len(QUESTIONS), dtype=int)
        self.when = np.zeros(len(QUESTIONS))
        self.clock = 0.0  # minutes
        self.today = 0
        self.last = np.full(len(QUESTIONS), -1)

    def go_to(self, day: int) -> None:
        """Let the days go by."""
        self.clock += 24 * 60 * (day - self.today)
        self.today = day

    def left(self, which: slice | int, later: float = 0.0) -> Array:
        """Return what is left of each question."""
        minutes = self.clock + later - self.when[which] + 1
        kept = kept_share(minutes, self.days[which], self.each[which])
        return np.asarray(np.where(self.days[which] > 0, kept, 0.0))

    def meet(self, at: int) -> None:
        """Work at a question once more; twice on a day is once."""
        self.days[at] += self.last[at] != self.today
        self.last[at] = self.today
        self.when[at] = self.clock

    def read(self, lesson: int) -> None:
        """Read a lesson: each of its questions is met once."""
        for at, one in enumerate(QUESTIONS):
            if one[2] == lesson:
                self.meet(at)

    def answer(self, at: int, second: float) -> bool:
        """Answer a question; right or wrong, it is worked at once more."""
        self.clock += second / MINUTE
        right = bool(self.draw.random() < float(self.left(at)))
        self.meet(at)
        return right

    def share(self, days: int) -> float:
        """Return the share of questions that would come right, so many days on."""
        return float(self.left(slice(None), 24 * 60 * days).mean())


MODELS: dict[str, Callable[[np.random.Generator], Tracing | Activation | Savings]] = {
    "tracing": Tracing,
    "activation": Activation,
    "savings": Savings,
}


# ---------------------------------------------------------------- the practice


@dataclass
class Course:
    """What one apprentice came to by one way of choosing."""

    now: list[float] = field(default_factory=list)  # share known after each sitting
    later: list[float] = field(default_factory=list)  # and a month after it
    beliefs: list[tuple[float, bool]] = field(default_factory=list)
    soonest: int = 10**9  # answers between two of the same question on a day


def day_of(sitting: int) -> int:
    """Return the day of a sitting: five a week."""
    return sitting // 5 * 7 + sitting % 5


def practiced(model: str, seed: int, *, by_rule: bool) -> Course:
    """Let one apprentice practice through the whole course."""
    draw = np.random.default_rng([seed, 1895])
    person = MODELS[model](draw)
    made = Course()
    standings = [Standing(key=key, skill=skill) for key, skill, _ in QUESTIONS]
    place = {key: at for at, (key, _, _) in enumerate(QUESTIONS)}
    opened, pointer, turn = 0, 0, 0
    asked_at: dict[int, int] = {}
    for sitting in range(SITTINGS):
        day = day_of(sitting)
        person.go_to(day)
        today = START + timedelta(days=day)
        if sitting % OPENS_EVERY == 0 and opened < len(PAGES):
            person.read(opened)
            opened += 1
        there = [at for at, one in enumerate(QUESTIONS) if one[2] < opened]
        just: frozenset[str] = frozenset()
        asked_at.clear()
        for _ in range(ROUNDS):
            if by_rule:
                picks = next_up(
                    standings=[standings[at] for at in there], today=today, just_asked=just
                )
                chosen = [place[one.key] for one in picks]
                just = frozenset(one.key for one in picks)
            else:
                chosen = [there[(pointer + step) % len(there)] for step in range(A_ROUND)]
                pointer = (pointer + A_ROUND) % len(there)
            for at in chosen:
                if by_rule:
                    belief = believed(standings[at], share=right_share(standings))
                right = person.answer(at, 90.0)
                if by_rule:
                    made.beliefs.append((belief, right))
                    if at in asked_at:
                        made.soonest = min(made.soonest, turn - asked_at[at])
                    asked_at[at] = turn
                standings[at] = after_answer(standings[at], right=right, today=today)
                turn += 1
        made.now.append(person.share(0))
        made.later.append(person.share(MONTH))
    return made


def reached_at(shares: Array, target: float) -> float:
    """Return after how many sittings a share is reached, between two sittings in proportion."""
    above = np.flatnonzero(shares >= target)
    if not above.size:
        return float(len(shares))
    at = int(above[0])
    if at == 0:
        return 1.0
    return float(at + (target - shares[at - 1]) / (shares[at] - shares[at - 1]))


def compare(job: tuple[str, int]) -> tuple[Course, Course]:
    """Let one apprentice practice both ways: fixed order, and by the rule."""
    model, seed = job
    return practiced(model, seed, by_rule=False), practiced(model, seed, by_rule=True)


# ---------------------------------------------------------------- what is printed


@dataclass(frozen=True)
class Calibration:
    """What was believed against what was seen."""

    bins: tuple[tuple[int, float, float], ...]  # answers, mean belief, share right
    brier: float
    slope: float
    offset: float


def calibration(believed_: Array, right: Array) -> Calibration:
    """Compare beliefs with answers: ten bins, Brier score (1950), slope of a logistic line."""
    bins = []
    place = np.minimum((believed_ * 10).astype(int), 9)
    for one in range(10):
        inside = place == one
        count = int(inside.sum())
        if count:
            bins.append((count, float(believed_[inside].mean()), float(right[inside].mean())))
        else:
            bins.append((0, math.nan, math.nan))
    logit = np.log(believed_ / (1 - believed_))
    fit = np.array([0.0, 1.0])
    columns = np.stack([np.ones_like(logit), logit], axis=1)
    for _ in range(30):  # Newton's steps
        chance = 1 / (1 + np.exp(-columns @ fit))
        weight = chance * (1 - chance)
        step = np.linalg.solve(
            columns.T @ (columns * weight[:, None]), columns.T @ (right - chance)
        )
        fit = fit + step
        if float(np.abs(step).max()) < 1e-9:
            break
    return Calibration(
        tuple(bins), float(((believed_ - right) ** 2).mean()), float(fit[1]), float(fit[0])
    )


def print_calibration(found: Calibration, right: Array) -> None:
    """Print the ten bins and what they come to."""
    print(f"  {'believed':>10}  {'answers':>9}  {'believed':>8}  {'seen':>6}")
    for one, (count, mean, seen) in enumerate(found.bins):
        if count:
            print(f"  {one / 10:.1f} to {one / 10 + 0.1:.1f}  {count:9,}  {mean:8.2f}  {seen:6.2f}")
    base = float(right.mean())
    print(
        f"  Brier score {found.brier:.3f} (always the mean: {base * (1 - base):.3f}), "
        f"calibration slope {found.slope:.2f}"
    )


def print_model(model: str, rows: Sequence[tuple[Course, Course]]) -> None:
    """Print one model's table."""
    answers = A_ROUND * ROUNDS * TARGET
    print(f"\n{model}: {len(rows):,} apprentices, {answers} answers in {TARGET} sittings")
    pairs = np.array([pair for _, rule in rows for pair in rule.beliefs], dtype=float)
    print_calibration(calibration(pairs[:, 0], pairs[:, 1]), pairs[:, 1])
    for name, words in (("now", "at the end"), ("later", f"{MONTH} days later")):
        fixed, rule = (np.array([getattr(one[way], name) for one in rows]) for way in (0, 1))
        groups = [slice(at, at + GROUP) for at in range(0, len(rows), GROUP)]
        saved = [_saved(fixed[group].mean(axis=0), rule[group].mean(axis=0)) for group in groups]
        low, high = np.percentile(saved, [5, 95])
        more = rule[:, TARGET - 1] - fixed[:, TARGET - 1]
        ends = np.percentile(more, [10, 90])
        print(
            f"  known {words}: {fixed[:, TARGET - 1].mean():.1%} in fixed order, "
            f"{rule[:, TARGET - 1].mean():.1%} by the rule (8 in 10 apprentices {ends[0]:+.0%} to "
            f"{ends[1]:+.0%}); answers saved to the same share "
            f"{_saved(fixed.mean(axis=0), rule.mean(axis=0)):+.0%} "
            f"(groups of {GROUP}: {low:+.0%} to {high:+.0%})"
        )
    soonest = min(rule.soonest for _, rule in rows)
    print(f"  fewest answers from a question to its next on one day: {soonest:,}")


def _saved(fixed: Array, rule: Array) -> float:
    target = float(fixed[TARGET - 1])
    return 1 - reached_at(rule, target) / reached_at(fixed, target)


def main() -> None:
    """Print the tables."""
    read = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    read.add_argument("--apprentices", type=int, default=5_000)
    read.add_argument("--model", choices=sorted(MODELS), action="append")
    read.add_argument("--first", type=int, default=0, help="seed of the first apprentice")
    read.add_argument("--processes", type=int, default=2)
    asked = read.parse_args()
    seeds = range(asked.first, asked.first + asked.apprentices)
    for model in asked.model or MODELS:
        began = time.perf_counter()
        with multiprocessing.Pool(asked.processes) as pool:
            rows = pool.map(compare, [(model, seed) for seed in seeds], chunksize=20)
        print_model(model, rows)
        print(f"  ({time.perf_counter() - began:.0f} s)")


if __name__ == "__main__":
    main()
