"""The summing-up of each bench: plain numbers, the same after the session is taken up again."""

from __future__ import annotations

import json

import pytest

from keycourse.fit.bench.book import FittingBook
from keycourse.fit.bench.hands import fit_with
from keycourse.measure.bench.pages import MeasuringPages
from keycourse.pull.bench.book import PullingBook
from keycourse.sessions import BENCHES, sum_up, summing_up_in_words


def fitting(hand):
    book = FittingBook(seed=3)
    book.session = fit_with(session=book.session, hand=hand)
    return book


def driven_at_once():
    book = FittingBook(seed=3)
    book.do("drive", blows=3)
    return book


def pulling():
    book = PullingBook(seed=5, kind="turned")
    book.do("measure ends")
    book.do("push", load_lbf=1_000.0)
    book.stop()
    return book


def measuring():
    pages = MeasuringPages(seed=5)
    for station in (0.0, 0.0, 6.0):
        pages.book.take(
            station_in=station,
            keyway_angle_rad=3.14159,
            way=[(-0.08, 0.0), (0.08, 0.0)],
            tightness=0.5,
        )
        pages.book.write_down(f"{pages.book.shown_in(pages.book.waiting):.4f}")
    return pages


BOOKS = {"measuring": measuring, "fitting": lambda: fitting("careful"), "pulling": pulling}


@pytest.mark.parametrize("bench", BENCHES)
def test_summing_up_is_plain_and_the_same_after_resume(bench):
    book = BOOKS[bench]()
    now = (book.book if bench == "measuring" else book).numbers()
    record = json.loads(json.dumps(book.record()))
    again = sum_up(bench=bench, record=record)
    assert again == now
    assert json.loads(json.dumps(again)) == again
    assert sum_up(bench=bench, record=record) == again


@pytest.mark.parametrize("bench", BENCHES)
def test_every_number_has_words_and_a_hidden_one_is_kept_back(bench):
    book = BOOKS[bench]()
    numbers = sum_up(bench=bench, record=book.record())
    everything = summing_up_in_words(bench=bench, numbers=numbers, hidden=True)
    assert len(everything) == len(numbers)
    shown = dict(summing_up_in_words(bench=bench, numbers=numbers, hidden=False))
    for hidden in ("Taper, true", "Load that starts it now", "Hub turned round, small end shows"):
        assert hidden not in shown


def test_careful_fitting_in_numbers():
    numbers = sum_up(bench="fitting", record=fitting("careful").record())
    assert numbers["driven"]
    assert numbers["home"]
    assert 6 <= numbers["fittings"] <= 20
    assert numbers["over_filed_in"] == 0
    assert numbers["feeler_top_in"] == numbers["feeler_bottom_in"] == 0
    assert numbers["feeler_sides"]
    assert numbers["faults"] == []
    assert numbers["travel_in"] == pytest.approx(
        numbers["first_stand_out_in"] - numbers["draw_in"], abs=2e-6
    )
    # even cut at 1:96: 0.096 in for a thousandth; filing only what bears gains more
    assert 0.09 < numbers["travel_per_thousandth_in"] < 0.13
    assert numbers["travel_per_thousandth_in"] == pytest.approx(
        numbers["travel_in"] / (1000 * numbers["filed_off_in"]), rel=0.002
    )


def test_over_filed_key_in_numbers():
    numbers = sum_up(bench="fitting", record=fitting("over-files").record())
    draw = numbers["draw_in"]
    assert draw < 1 / 16
    assert numbers["over_filed_in"] == pytest.approx((1 / 16 - draw) / 96, abs=1e-5)
    assert "loose" in numbers["faults"]


def test_key_driven_at_once_in_numbers():
    numbers = sum_up(bench="fitting", record=driven_at_once().record())
    assert not numbers["home"]
    assert numbers["stand_out_in"] > 0.3
    assert numbers["filed_off_in"] == numbers["travel_per_thousandth_in"] == 0
    assert "proud" in numbers["faults"]


def test_readings_in_numbers():
    pages = measuring()
    numbers = pages.book.numbers()
    first, second, third = (note.value_in for note in pages.book.notes)
    assert numbers["readings"] == numbers["written"] == 3
    assert numbers["stations"] == 2
    assert numbers["longest_base_in"] == 6
    # two at one place: standard deviation is their difference over root 2
    assert numbers["scatter_in"] == pytest.approx(abs(first - second) / 2**0.5, abs=1e-6)
    assert numbers["taper_in_per_in"] == pytest.approx(((first + second) / 2 - third) / 6, abs=1e-6)
    assert numbers["mouth_in"] == pytest.approx((first + second) / 2, abs=1e-5)
    assert numbers["misread"] == numbers["not_at_bottom"] == 0
    pages.book.strike_out(3)
    one = pages.book.numbers()
    assert one["stations"] == 1
    assert one["taper_in_per_in"] is None
    assert one["struck_out"] == 1


def test_pull_in_numbers():
    book = pulling()
    numbers = book.numbers()
    assert numbers["over"]
    assert numbers["stopped"]
    assert numbers["ends_measured"]
    assert numbers["small_end_shows"]
    assert numbers["outcome"] == "stuck"
    assert numbers["loads"] == 1
    assert numbers["margin_lbf"] is None  # no rig stands
    assert numbers["faults"] == []


@pytest.mark.parametrize("bench", BENCHES)
def test_session_without_end_is_refused_before_it_is_played(bench):
    steps = [{"do": "blue"}] * 3001
    record = {"seed": 1, "bench": bench, "steps": steps}
    if bench != "fitting":
        record = {"session": record}
    with pytest.raises(ValueError, match=r"^number of steps is 3,001; it must be at most 3,000\."):
        sum_up(bench=bench, record=record)


def test_record_of_another_bench_is_refused():
    with pytest.raises(ValueError, match=r"^The pull kept on this page cannot be read"):
        sum_up(bench="pulling", record=driven_at_once().record())
    with pytest.raises(ValueError, match=r"^bench is 'milling'; it must be one of: fitting, meas"):
        sum_up(bench="milling", record={})
