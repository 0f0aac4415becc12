"""The models of learning and forgetting that the rule of practice is measured on: tests/spacing.py.

Corbett & Anderson 1995, Knowledge tracing: modeling the acquisition of procedural knowledge, User
Modeling and User-Adapted Interaction 4:253-278, equations 1 and 2. Ebbinghaus 1885, Memory (English
1913), sections 28, 29 and 31. Pavlik & Anderson 2005, Practice and forgetting effects on vocabulary
memory, Cognitive Science 29:559-586, equations 1 to 5 (their numbers from memory).
"""

from __future__ import annotations

import math
import sys
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from coursework.page.spacing import Standing, after_answer, believed, right_share

sys.path.insert(0, str(Path(__file__).parents[1]))

import spacing as simulated


def test_tracing_is_bayes_rule_and_then_learning():
    """With two states, Bayes's rule by counting: of 1,000 apprentices, who knows it afterwards."""
    known, learn, guess, slip = 0.4, 0.3, 0.2, 0.1
    right_known, right_not = 400 * 0.9, 600 * 0.2  # 360 and 120 of 480 right answers
    after = right_known / (right_known + right_not)
    assert after == pytest.approx(0.75)
    traced = simulated.traced(known, right=True, learn=learn, guess=guess, slip=slip)
    assert traced == pytest.approx(0.75 + 0.25 * 0.3)
    wrong = simulated.traced(known, right=False, learn=learn, guess=guess, slip=slip)
    assert wrong == pytest.approx(40 / 520 + 480 / 520 * 0.3)


def test_without_guess_and_slip_tracing_has_its_closed_form():
    """Nothing seen: P(L_n) = 1 - (1 - P(L_0)) (1 - P(T))^n, the learning curve of the model."""
    learn, guess, known = 0.2, 0.5, 0.1
    for turn in range(1, 12):
        # a guess as likely as knowing tells nothing, so only learning is left
        known = simulated.traced(known, right=True, learn=learn, guess=guess, slip=1 - guess)
        assert known == pytest.approx(1 - 0.9 * (1 - learn) ** turn)


def test_the_simulated_apprentice_is_the_traced_one():
    """Traced on his own answers, the model expects as many right ones as there are."""
    expected = seen = 0.0
    count = 0
    for seed in range(400):
        person = simulated.Tracing(np.random.default_rng(seed))
        person.forget = 0.0
        at = 0
        skill = person.place[at]
        person.learn[skill], person.guess[at], person.slip[at] = 0.2, 0.25, 0.08
        person.known[skill] = seed % 10 < 3
        known = 0.3
        for _ in range(8):
            right = person.answer(at, 60.0)
            expected += known * 0.92 + (1 - known) * 0.25
            seen += right
            count += 1
            known = simulated.traced(known, right=right, learn=0.2, guess=0.25, slip=0.08)
    assert abs(expected - seen) / count < 3 * 0.5 / math.sqrt(count)


#: Minutes and percent saved, section 28: 19 min, 63 min, 8.75 h, 1, 2, 6 and 31 days.
SAVED = [
    (19, 58.2),
    (63, 44.2),
    (525, 35.8),
    (1_440, 33.7),
    (2_880, 27.8),
    (8_640, 25.4),
    (44_640, 21.1),
]


@pytest.mark.parametrize(("minutes", "percent"), SAVED)
def test_savings_are_ebbinghauss(minutes, percent):
    """His formula comes within 3.4 percent of what he saw, largest at one day (section 29)."""
    assert 100 * float(simulated.savings(minutes)) == pytest.approx(percent, abs=3.4)


#: Repetitions until a row of 12 syllables sat, on six days running (section 31).
REPETITIONS = (16.5, 11.0, 7.5, 5.0, 3.0, 2.5)


def test_each_day_of_learning_leaves_two_thirds_of_the_loss():
    for days, again in enumerate(REPETITIONS[1:], start=1):
        saved = 1 - again / REPETITIONS[0]
        assert float(simulated.kept_share(1_440, days, simulated.LOST_EACH)) == pytest.approx(
            saved, abs=0.06
        )


def trained(waits_s: list[float], later_s: float) -> float:
    person = simulated.Activation(np.random.default_rng(1))
    person.own[:] = 0.0
    for wait in waits_s:
        person.clock += wait
        person.meet(0)
    return float(person.chance(0, later_s))


def test_a_single_trace_fades_as_a_power_of_time():
    """One trace is there by -a ln t; the chance is 1/2 at tau: t = exp(0.704 / 0.177) seconds."""
    half = math.exp(0.704 / 0.177)
    assert trained([0.0], half) == pytest.approx(0.5)
    assert trained([0.0], half * math.e) == pytest.approx(1 / (1 + math.exp(0.177 / 0.255)))


def test_spaced_traces_last_longer_than_massed_ones():
    """The spacing effect, and its turn at short tests: what the model was made for."""
    week = 7 * simulated.DAY * simulated.Activation.h
    assert trained([0.0, 2_000.0, 2_000.0], week) > trained([0.0, 2.0, 2.0], week)
    assert trained([0.0, 2_000.0, 2_000.0], 2.0) < trained([0.0, 2.0, 2.0], 2.0)


def test_calibration_finds_a_belief_that_is_too_sure():
    draw = np.random.default_rng(7)
    chance = draw.uniform(0.05, 0.95, 40_000)
    right = (draw.random(40_000) < chance).astype(float)
    true = simulated.calibration(chance, right)
    assert true.slope == pytest.approx(1.0, abs=0.03)
    assert true.brier == pytest.approx(float((chance * (1 - chance)).mean()), abs=0.003)
    odds = (chance / (1 - chance)) ** 2  # twice as sure
    assert simulated.calibration(odds / (1 + odds), right).slope == pytest.approx(0.5, abs=0.02)


def test_what_is_believed_before_any_answer_is_laplaces_rule():
    """Laplace 1774: after r of n, the chance of the next is (r + 1)/(n + 2)."""
    new = Standing(key="k", skill="s")
    assert right_share([new]) == 0.5
    row = [new]
    for right in (True, True, False):
        row.append(after_answer(new, right=right, today=date(2026, 11, 25)))
    assert right_share(row) == 3 / 5
    assert believed(new, share=3 / 5) == 3 / 5


def test_belief_rises_with_a_run_and_falls_with_a_wrong_answer():
    standing, day = Standing(key="k", skill="s"), date(2026, 11, 25)
    beliefs = [believed(standing, share=0.6)]
    for _ in range(4):
        standing = after_answer(standing, right=True, today=day)
        beliefs.append(believed(standing, share=0.6))
    assert beliefs == sorted(set(beliefs))
    assert beliefs[-1] < 1
    wrong = after_answer(standing, right=False, today=day)
    assert 0 < believed(wrong, share=0.6) < 0.6


def test_the_rule_never_asks_again_at_once_and_meets_every_question(monkeypatch):
    met: set[str] = set()
    plain = simulated.after_answer

    def seen(standing, **answer):
        met.add(standing.key)
        return plain(standing, **answer)

    monkeypatch.setattr(simulated, "after_answer", seen)
    made = simulated.practiced("savings", 3, by_rule=True)
    assert made.soonest > simulated.A_ROUND
    assert met == {key for key, _, _ in simulated.QUESTIONS}


def test_the_rule_is_no_worse_than_fixed_order_where_skills_are_learned_or_not():
    """A few apprentices only; the command measures 5,000."""
    rows = [simulated.compare(("tracing", seed)) for seed in range(10_000, 10_006)]
    fixed, rule = (np.mean([one[way].now[simulated.TARGET - 1] for one in rows]) for way in (0, 1))
    assert rule > fixed - 0.03
