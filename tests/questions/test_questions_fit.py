"""Exercise 04: marks read from pictures, height and travel, and when a fit is accepted."""

import re
from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets
import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import judge_page, right_answers, show_answer
from coursework.page import forms
from coursework.page.entries import EntriesFile
from keycourse.card import JobCard
from keycourse.fit import values
from keycourse.fit.card import BRIGHT, KINDS, THINNED, traps_of

PAGE = PAGES["04-fit"]
CARDS = range(1, 61)


def card_of(number: int) -> JobCard:
    return issue_card(exercise="04-fit", class_code="QQ-26", number=number)


def first(key: str, value: str) -> JobCard:
    """Return the first card with this right answer."""
    return next(card for card in map(card_of, CARDS) if right_answers(PAGE, card)[key] == value)


def verdict_of(card: JobCard, key: str, text: str):
    return next(one for one in judge_page(PAGE, card, {key: text}) if one.key == key)


def test_forty_cards_show_every_case() -> None:
    for start in (1, 20):
        rights = [right_answers(PAGE, card_of(number)) for number in range(start, start + 40)]
        assert {right["04-from-which-end"] for right in rights} == set(values.FROM_ENDS)
        assert {right["04-blue"] for right in rights} == set(values.BLUES)
        assert {right["04-lubricant"] for right in rights} == set(values.LUBRICANTS)
        assert {right["04-cause"] for right in rights} == set(values.CAUSES)
        assert {right["04-decide"] for right in rights} == set(values.STEPS)
        assert {right["04-hub"] for right in rights} == set(values.AFTER_DRIVE)
        assert {right["04-verdict"] for right in rights} == set(values.VERDICTS)


@pytest.mark.parametrize(
    ("ratio", "metric", "travel_in"),
    [
        (96, False, 0.096),  # 1:96, common practice: a thousandth is 0.096 in of travel
        (100, True, 1.00 / 25.4),  # 1:100: a hundredth of a millimeter is a millimeter
    ],
)
def test_a_small_height_on_the_standard_tapers(ratio: int, metric: bool, travel_in: float) -> None:
    card = next(
        card
        for card in map(card_of, CARDS)
        if card.metric is metric and card.readings.taper_ratio == ratio
    )
    assert right_answers(PAGE, card)["04-small-travel"] == pytest.approx(travel_in)


def test_what_comes_off_and_what_is_left_add_up() -> None:
    for number in CARDS:
        card = card_of(number)
        case, right = card.readings, right_answers(PAGE, card)
        before, _, now = case.stand_outs_in
        whole = (before - case.left_to_drive_in) / case.taper_ratio
        assert right["04-off"] + right["04-still-off"] == pytest.approx(whole)
        assert now - right["04-next-out"] == pytest.approx(case.next_cut_in * case.taper_ratio)
        assert 0 < right["04-next-out"] < now


def test_the_picture_says_what_is_seen_and_not_what_it_means() -> None:
    for number in range(1, 13):
        card = card_of(number)
        for key, pattern in (
            ("04-bear", card.readings.first),
            ("04-file", card.readings.following),
            ("04-cause", card.readings.now),
        ):
            html = PAGE.question(key).picture(card)
            label = re.search(r'aria-label="([^"]+)"', html)[1]
            seen = dict(re.findall(r"\b([A-M]), ([a-z][a-z ,]+?)(?=[;.])", label))
            assert set(seen) == set(values.LETTERS)
            shines = {name for name, words in seen.items() if words == "metal shines through"}
            assert shines == set(values.at_level(pattern, BRIGHT))
            assert not any(word in label.lower() for word in ("bright", "it bears", "file"))


def test_letters_are_read_in_any_order_and_case() -> None:
    card = card_of(1)
    right = right_answers(PAGE, card)["04-bear"]
    for text in (" ".join(right), "".join(reversed(right)).lower(), ", ".join(right)):
        assert verdict_of(card, "04-bear", text).state == "right"
    assert verdict_of(card, "04-bear", "A Z").reason == (
        "Zones that bear has “Z”; the letters must be from A to M. Write them with spaces between."
    )


def test_thinned_zones_are_named_as_what_they_are() -> None:
    card = card_of(1)
    zones = values.at_level(card.readings.first, THINNED, BRIGHT)
    verdict = verdict_of(card, "04-bear", " ".join(zones))
    assert (verdict.slip, verdict.mark) == ("thinned taken for bright", 1)


def test_marks_of_the_push_before_are_not_filed_again() -> None:
    card = card_of(2)
    text = " ".join(values.at_level(card.readings.first, BRIGHT))
    assert verdict_of(card, "04-file", text).slip == "filed where it bore before"


@pytest.mark.parametrize(
    ("right", "slip"),
    [
        (values.GAP, "leaf waved through"),
        (values.PROUD, "proud key waved through"),
        (values.LOOSE, "loose key waved through"),
    ],
)
def test_a_bad_fit_that_is_accepted_is_never_competent(right: str, slip: str) -> None:
    card = first("04-verdict", right)
    verdict = verdict_of(card, "04-verdict", values.ACCEPTED)
    assert (verdict.slip, verdict.mark, verdict.critical) == (slip, 0, True)


def test_a_hub_is_set_back_only_where_it_crept_further_than_the_readings_may_be_off() -> None:
    for number in range(1, 41):
        card = card_of(number)
        case, right = card.readings, right_answers(PAGE, card)
        before, after = case.hub_from_end_in
        least, most = (abs(after - before) + sign * 2 * case.place_good_in for sign in (-1, 1))
        limit = 0.5 / 25.4 if card.metric else 0.02
        if right["04-hub"] == values.SET_BACK:
            assert least > limit
        elif right["04-hub"] == values.UNKNOWN:
            assert least <= limit <= most
        else:
            assert most < limit
            grew = case.hub_runout_in[1] - case.hub_runout_in[0] > 2.01 * case.dial_good_in
            assert grew == (right["04-hub"] == values.UNTRUE)
        for wrong in set(values.AFTER_DRIVE) - {right["04-hub"]}:
            assert verdict_of(card, "04-hub", wrong).state == "slip"


def test_a_key_goes_in_where_the_slot_is_high_if_the_heights_can_tell() -> None:
    for number in CARDS:
        card = card_of(number)
        near, other = card.readings.ends_in
        right = right_answers(PAGE, card)["04-from-which-end"]
        if abs(near - other) <= 2 * card.readings.height_doubt_in:
            assert right == values.CANNOT_TELL
        else:
            assert right == (values.NEAR if near > other else values.FAR)
    for kind in KINDS:
        assert len({"reversed", "ordinary", "cannot tell"} & traps_of(kind)) == 1


def test_kinds_are_spread_so_that_no_end_is_the_usual_one() -> None:
    ways = [way for _, way in KINDS]
    assert len(set(KINDS)) == 18  # each of six stages with each of three ways
    assert max(ways.count(way) for way in set(ways)) <= len(ways) / 2


def test_layout_fluid_is_not_high_spot_blue() -> None:
    card = next(card for card in map(card_of, CARDS) if "layout" in card.readings.blues)
    letter = "ABC"[card.readings.blues.index("layout")]
    verdict = verdict_of(card, "04-blue", letter)
    assert (verdict.slip, verdict.mark) == ("layout fluid taken", 0)


def test_a_round_is_taken_up_where_it_was_left() -> None:
    for number in CARDS:
        card = card_of(number)
        order = right_answers(PAGE, card)["04-round"]
        assert sorted(order) == list("ABCDEF")
        assert order[-1] == card.readings.done_last
        at = {step: order.index(step) for step in order}
        for step, then in ("CE", "EB", "BF", "FA", "AD", "DC"):  # blue, push, measure, read, wipe
            assert (at[then] - at[step]) % 6 == 1


def test_a_gap_at_the_sides_is_right() -> None:
    card = first("04-verdict", values.ACCEPTED)
    assert "at the sides it goes in" in values.end_facts(card)[-1].value
    verdict = verdict_of(card, "04-verdict", values.GAP)
    assert verdict.slip == "gap at the sides taken for a fault"


def test_a_key_with_tight_sides_is_not_filed_on_its_faces() -> None:
    card = first("04-cause", values.TOO_WIDE)
    assert 0 <= card.readings.slot_width_in - card.readings.key_width_in < 0.0005
    assert right_answers(PAGE, card)["04-decide"] == values.SIDES
    clear = first("04-cause", values.NO_CAUSE)
    assert clear.readings.slot_width_in - clear.readings.key_width_in > 0.002


def test_the_last_fitting_is_known_by_marks_and_stand_out_together() -> None:
    for number in CARDS:
        card = card_of(number)
        home = right_answers(PAGE, card)["04-decide"] == values.HOME
        ends = (card.readings.now.top[0], card.readings.now.top[-1], card.readings.now.bottom[0],
                card.readings.now.bottom[-1])  # fmt: skip
        near = card.readings.stand_outs_in[-1] - card.readings.left_to_drive_in
        if home:
            assert set(ends) == {BRIGHT}
            assert near < 0.06
        else:
            assert near > 0.14


def test_white_lead_gets_no_mark_and_a_reason() -> None:
    card = next(card for card in map(card_of, CARDS) if "white lead" in card.readings.cans)
    letter = "ABC"[card.readings.cans.index("white lead")]
    verdict = verdict_of(card, "04-lubricant", f"can {letter}")
    assert (verdict.slip, verdict.mark) == ("white lead", 0)
    assert "poisonous" in verdict.reason


def test_every_answer_can_be_typed_as_it_is_shown() -> None:
    for number in CARDS:
        card = card_of(number)
        entries = {
            key: show_answer(PAGE.question(key).on(card), answer)
            for key, answer in right_answers(PAGE, card).items()
        }
        states = {one.state for one in judge_page(PAGE, card, entries)}
        assert states == {"right", "waiting", "blank"}


def test_the_form_shows_the_picture_and_reads_letters_back(tmp_path: Path) -> None:
    store = EntriesFile(tmp_path / "answers.json")
    box = forms.ask_form(PAGE.question("04-bear"), card_of(1), store, {})
    values_shown = [str(child.value) for child in box.children]
    assert (
        sum("<svg" in value and "The blue after the first push" in value for value in values_shown)
        == 1
    )
    entry = next(child for child in box.children if isinstance(child, widgets.Text))
    entry.value = "mcb"
    assert store.texts() == {"04-bear": "mcb"}
    assert "Saved. Read as B C M." in str(box.children[-1].value)
    entry.value = "B I"
    assert "the letters must be from A to M" in str(box.children[-1].value)


def test_the_end_is_told_only_beyond_twice_what_each_height_is_known_to() -> None:
    card = card_of(1)
    doubt = card.readings.height_doubt_in
    for off, wanted in (
        (0.0, values.CANNOT_TELL), (1.9, values.CANNOT_TELL), (-1.9, values.CANNOT_TELL),
        (2.1, values.NEAR), (-2.1, values.FAR),
    ):  # fmt: skip
        assert values.from_which_end(card, {"04-lower": off * doubt}) == wanted


def test_a_hub_has_crept_or_runs_out_only_beyond_twice_what_is_read() -> None:
    """Between, nobody can tell; a hub that did not creep is judged by its run-out."""
    card = card_of(1)
    good, dial, limit = (
        card.readings.place_good_in, card.readings.dial_good_in, values.creep_from(card)
    )  # fmt: skip

    def found(moved: float, wobble: float) -> object:
        case = replace(
            card.readings, hub_from_end_in=(1.0, 1.0 + moved), hub_runout_in=(0.001, 0.001 + wobble)
        )
        return values.after_drive(replace(card, readings=case), {})

    for way in (1, -1):
        assert found(way * (limit + 2.1 * good), 0.0) == values.SET_BACK
        assert found(way * (limit + 1.9 * good), 0.0) == values.UNKNOWN
        assert found(way * (limit - 1.9 * good), 0.0) == values.UNKNOWN
    assert limit > 2.1 * good
    assert found(limit - 2.1 * good, 1.9 * dial) == values.RUN
    assert found(limit - 2.1 * good, 2.1 * dial) == values.UNTRUE


def test_a_card_says_each_thing_once_and_in_its_own_unit() -> None:
    for card in map(card_of, range(1, 21)):
        told = values.facts(card)
        assert len({fact.what for fact in told}) == len(told)
        foreign = r"\d (in|psi|lbf)\b" if card.metric else r"\d (mm|MPa|kN)\b"
        assert not [fact for fact in told if re.search(foreign, fact.value)]
