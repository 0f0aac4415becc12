"""The sheet holds the job's numbers, says stops first, and goes on paper whole."""

import io
import math
import re
from datetime import date

import pytest
from bs4 import BeautifulSoup
from pypdf import PdfReader

from keycourse.jobsheet.blocks import Drawing, Facts, Grid
from keycourse.jobsheet.html import sheet_html
from keycourse.jobsheet.job import JobError, parse_job
from keycourse.jobsheet.onpaper import write_sheet, write_template
from keycourse.jobsheet.pdf import sheet_pdf
from keycourse.jobsheet.sheet import make_sheet
from keycourse.jobsheet.template import template_text
from keycourse.jobsheet.writing import Writer
from keycourse.whole.whole_job import work_out
from taperkey import __version__

DAY = date(2026, 11, 25)


def sheet_of(entries, **changes):
    return make_sheet(job=parse_job({**entries, **changes}), today=DAY)


REVERSED = {"opening.heights-1": "0.9739", "opening.heights-2": "1.0104"}
WORN = {
    "job.units": "mixed",
    "opening.station-1": "0 in",
    "opening.heights-1": "0.9700; 0.9702; 0.9701; 0.9820; 0.9703 in",
    "opening.station-2": "1 in",
    "opening.heights-2": "0.9804; 0.9806; 0.9805; 0.9924; 0.9807 in",
    "opening.station-3": "2 in",
    "opening.heights-3": "0.9908; 0.9910; 0.9909; 1.0028; 0.9911 in",
    "opening.station-4": "3 in",
    "opening.heights-4": "1.0012; 1.0014; 1.0013; 1.0132; 1.0015 in",
    "opening.keyway-at-bottom": "no",
    "opening.hub-widths": "1.0312 in",
    "opening.shaft-widths": "1.0006 in",
    "opening.slot-radius": "0.1 in",
    "key.thread": "1-8 UNC",
    "pull.surface": "rusted",
    "pull.thread": "none",
    "pull.rod-grade": "unknown",
}
METRIC = {
    "job.units": "metric",
    "opening.station-1": "0",
    "opening.heights-1": "16.30; 16.31",
    "opening.station-2": "150",
    "opening.heights-2": "14.80; 14.81",
    "opening.height-good-to": "0.01",
    "opening.hub-widths": "28.02",
    "opening.shaft-widths": "28.20",
    "opening.hub-length": "160",
    "opening.shaft-diameter": "100",
    "opening.bore": "100.2",
    "opening.shaft-slot-depth": "10.0",
    "opening.slot-radius": "0.6",
    "key.length-outside": "5",
    "key.torque": "2500",
    "key.thread": "none",
    "pull.method": "welded strongback",
    "pull.pressure-low": "10",
    "pull.pressure-high": "12",
    "pull.jacks": "2",
    "pull.jack-rating": "10 tons",
    "pull.piston": "42",
    "pull.foot": "50",
    "pull.bar-width": "100",
    "pull.bar-depth": "80",
    "pull.bar-span": "300",
    "pull.weld": "fillet",
    "pull.weld-size": "12",
    "pull.weld-length": "28",
    "pull.weld-sides": "2",
    "pull.over-near": "106.32",
    "pull.over-far": "104.82",
    "pull.key-width": "28",
    "pull.key-height": "16",
    "pull.key-length": "160",
    "pull.key-outside": "5",
    "pull.bar-steel": "A36 plate",
    "pull.area": "13.9",
    "pull.gauge-division": "5 bar",
    "pull.electrode": "E70",
    "key.service-factor": "1.5",
    "key.design-factor": "2",
}
SLIDE = {"pull.method": "slide hammer", "pull.weight": "30 lbf", "pull.rod-length": "36 in"}
JOBS = {
    "ordinary": {},
    "reversed": REVERSED,
    "worn and reversed": WORN,
    "metric, welded": METRIC,
    "slide hammer": SLIDE,
    "no pull": {"pull.method": "none"},
}


def words_of(sheet):
    return BeautifulSoup(sheet_html(sheet=sheet), "html.parser").get_text(" ", strip=True)


def test_sheet_writes_the_numbers_that_were_worked_out(entries):
    figures = work_out(job=parse_job(entries).inputs)
    words = words_of(sheet_of(entries))
    key, pull = figures.key, figures.pull
    for value in (
        key.blank.large_end_height_in,
        key.blank.small_end_height_in,
        key.plan.large_end_cut_in,
        key.plan.small_end_cut_in,
        key.plan.master_key_rise_in,
        key.hub_width_in,
    ):
        assert f"{value:.4f} in" in words
    assert f"{key.travel_per_thousandth_in:.3f} in further" in words
    write = Writer("inch")
    assert write.force(pull.pull.high_lbf, "up") in words
    assert write.force(pull.chain.capacity_lbf, "down") in words
    assert f"{pull.chain.governing.name} – GOVERNS" in words


def test_the_pull_stands_as_often_as_it_comes_beside_its_two_ends(entries):
    pull = work_out(job=parse_job(entries).inputs).pull
    words, write = words_of(sheet_of(entries)), Writer("inch")
    five, half, most = (write.force(one, "up") for one in pull.spread.pull_lbf)
    assert f"5 stay under {five}, 50 under {half}, 95 under {most};" in words
    # the whole range is under the weakest link, and yet it is not said to be certain
    assert pull.pull.high_lbf < pull.chain.capacity_lbf
    assert "; more than 99 under what the key section allows." in words
    assert f"{pull.spread.trials:,} trials by JCGM 101, seed {pull.spread.seed}" in words
    assert words == words_of(sheet_of(entries))  # the same seed, the same sheet


def test_the_chance_of_a_weak_rig_is_rounded_down(entries):
    weak = {**entries, "pull.surface": "dry", "pull.thread": "1/2-13 UNC", "pull.nut-height": "1/2"}
    pull = work_out(job=parse_job(weak).inputs).pull
    words = words_of(sheet_of(weak))
    assert 0.01 < pull.spread.chance < 0.99
    count = int(pull.spread.chance * 100)
    assert f"; {count} under what the {pull.chain.governing.name} allows." in words
    assert "NO PULL with this rig" in words  # a chance permits nothing: the high end does


def test_the_last_blow_is_a_third_route(entries):
    noted = {**entries, "pull.travel-low": "0.05", "pull.travel-high": "0.10",
             "pull.advance-low": "1/64", "pull.advance-high": "1/16"}  # fmt: skip
    pull = work_out(job=parse_job(noted).inputs).pull
    routes = [one.route for one in pull.seat.estimates]
    assert routes == ["pressure", "travel", "last blow"]
    assert pull.spread.shares[0][0] == "which of the routes is right"
    assert "which of the routes is right" in words_of(sheet_of(noted))
    heavier = work_out(job=parse_job({**noted, "pull.sledge": "24"}).inputs).pull
    assert heavier.seat.high_lbf == pytest.approx(2 * pull.seat.high_lbf)  # twice the energy


def test_a_hollow_ram_stands_on_a_ring(entries):
    """Foot 4 in, hole 1-1/4 in: pi/4 (16 - 1.5625) = 11.34 in2 on 36,000 psi over 1.67."""
    pull = work_out(job=parse_job(entries).inputs).pull
    seat = next(one for one in pull.links if one.name == "seat")
    assert seat.capacity_lbf == pytest.approx(11.33 * 36_000 / 1.67, rel=0.001)
    assert seat.capacity_lbf <= math.pi / 4 * (16 - 1.25**2) * 36_000 / 1.67


def test_a_load_is_never_written_too_low_nor_a_capacity_too_high():
    write = Writer("inch")
    assert write.force(18_612.0, "up") == "18,700 lbf"
    assert write.force(20_069.0, "down") == "20,000 lbf"
    assert Writer("metric").force(20_069.0, "down") == "89.2 kN"
    assert Writer("mixed").fine(1.0) == "1.0000 in (25.400 mm)"


def test_a_stop_comes_first_and_large(entries):
    sheet = sheet_of(entries, **REVERSED)
    page = BeautifulSoup(sheet_html(sheet=sheet), "html.parser")
    stop = page.select_one(".stop")
    assert stop.select_one(".word").get_text() == "STOP"
    assert stop.find_next("section").h2.get_text().startswith("1")
    assert stop.p.get_text().startswith("The hub is reversed: the opening is 1.0104 in high inside")
    words = page.get_text(" ")
    assert "NO PULL with this rig as it stands" in words
    assert "Load step" not in words


def test_without_a_stop_there_is_no_such_word_before_the_pull(entries):
    page = BeautifulSoup(sheet_html(sheet=sheet_of(entries)), "html.parser")
    assert page.select_one(".stop") is None


@pytest.mark.parametrize(
    "changes",
    [
        METRIC,
        {**METRIC, "opening.heights-1": "14.80", "opening.heights-2": "16.30"},
        {**METRIC, "pull.pressure-high": "90"},
        {**METRIC, "opening.keyway-at-bottom": "no", "opening.slot-radius": "3"},
    ],
)
def test_a_metric_sheet_speaks_of_millimetres_and_kilonewtons(entries, changes):
    sheet = sheet_of(entries, **changes)
    said = " ".join((*sheet.stops, *sheet.looks))
    assert re.search(r"\d mm\b", said)
    assert not re.search(r"\d (in|lbf)\b|pound|thousandth", said)


def test_a_stop_and_the_table_write_the_same_force_alike(entries):
    sheet = sheet_of(entries, **{**METRIC, "pull.pressure-high": "90"})
    stop = next(one for one in sheet.stops if "is above what the" in one)
    words = words_of(sheet)
    for force in re.findall(r"[\d,.]+ kN", stop):
        assert words.count(force) >= 2, force


@pytest.mark.parametrize("name", JOBS)
def test_no_sheet_calls_anything_safe(entries, name):
    assert not re.search(r"\b(un)?safe(ly)?\b", words_of(sheet_of(entries, **JOBS[name])), re.I)


@pytest.mark.parametrize(
    ("name", "paper"),
    [*((name, "A4") for name in JOBS), ("ordinary", "Letter"), ("worn and reversed", "Letter")],
)
def test_pdf_has_three_pages_at_most_on_its_paper(entries, name, paper):
    sheet = sheet_of(entries, **JOBS[name])
    document = PdfReader(io.BytesIO(sheet_pdf(sheet=sheet, paper=paper)))
    assert 1 <= len(document.pages) <= 3
    size = [round(float(one)) for one in document.pages[0].mediabox[2:]]
    assert size == ([595, 842] if paper == "A4" else [612, 792])


def test_pdf_says_what_the_page_says(entries):
    sheet = sheet_of(entries, **WORN)
    pages = PdfReader(io.BytesIO(sheet_pdf(sheet=sheet))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    for stop in sheet.stops:
        assert stop in text
    first = " ".join(pages[0].extract_text().split())
    assert first.index("STOP") < first.index("1 Before a hand")
    assert f"Course version {__version__} · made 2026-11-25" in text
    for section in sheet.sections:
        assert " ".join(section.title.split()) in text
    assert "×" in text


def test_pdf_letters_are_embedded(entries):
    document = PdfReader(io.BytesIO(sheet_pdf(sheet=sheet_of(entries))))
    fonts = document.pages[0]["/Resources"]["/Font"]
    for font in fonts.values():
        inside = font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"]
        assert "/FontFile2" in inside.get_object()


@pytest.mark.parametrize("name", JOBS)
def test_every_drawing_can_be_put_on_paper_with_its_words(entries, name):
    sheet = sheet_of(entries, **JOBS[name])
    drawings = [
        block for part in sheet.sections for block in part.blocks if isinstance(block, Drawing)
    ]
    assert len(drawings) == 1
    assert isinstance(drawings[0].beside, Facts)
    assert "large end" in drawings[0].picture.text.lower()


def test_every_number_of_the_appendix_leads_to_one_that_is_there(entries):
    page = BeautifulSoup(sheet_html(sheet=sheet_of(entries)), "html.parser")
    links = page.select(".appendix a")
    assert len(links) > 40
    for link in links:
        assert page.find(id=link["href"].removeprefix("#")) is not None, link
    rows = page.select(".appendix tbody tr")
    assert all(row.find_all("td")[-1].get_text(strip=True) for row in rows)


def test_hostile_words_stay_words(entries):
    hostile = '<script>alert("1")</script>{{ 7 * 7 }}'
    changes = {f"job.{one}": hostile for one in ("title", "place", "number", "mechanic")}
    html = sheet_html(sheet=sheet_of(entries, **changes))
    assert "<script" not in html
    assert html.count("&lt;script&gt;") >= 4
    assert "{{ 7 * 7 }}" in html
    sheet_pdf(sheet=sheet_of(entries, **changes))


def test_words_in_any_script_do_not_stop_the_pdf(entries, caplog):
    sheet = sheet_of(entries, **{"job.title": "Förderband №7 – 皮带 🛠"})
    pages = PdfReader(io.BytesIO(sheet_pdf(sheet=sheet))).pages
    assert "Förderband №7 – □□ □" in pages[0].extract_text()
    assert caplog.records == []


def test_numbers_that_do_not_fit_together_are_one_sentence(entries):
    with pytest.raises(JobError) as refused:
        sheet_of(entries, **{"opening.station-2": "5 in"})
    assert refused.value.problems == (
        "distance of a station is 5 in; it must be 4 in or less, the length of the hub."
        " Measure both again.",
    )


def test_written_beside_each_other_and_named(entries, tmp_path):
    written = write_sheet(job=parse_job(entries), folder=tmp_path / "new", name="belt", today=DAY)
    assert [one.name for one in sorted((tmp_path / "new").iterdir())] == ["belt.html", "belt.pdf"]
    assert written.html.read_text(encoding="utf-8").startswith("<!doctype html>")
    with pytest.raises(ValueError, match=r"^paper is 'A3'; it must be one of: A4, Letter\."):
        write_sheet(job=parse_job(entries), folder=tmp_path, paper="A3", today=DAY)


def test_a_template_never_writes_over_a_file(tmp_path):
    path = tmp_path / "job.toml"
    write_template(path)
    with pytest.raises(ValueError, match=r"^job\.toml is there already and was left alone\."):
        write_template(path)
    assert path.read_text(encoding="utf-8") == template_text()


def test_page_brings_everything_with_it(entries):
    html = sheet_html(sheet=sheet_of(entries))
    assert not re.search(r'(src|href)="(?!#)', html)
    assert "url(" not in html


def test_the_fitting_log_ends_where_the_hammer_begins(entries):
    """Stand-out counts what stays outside; nothing is left to come off when 1/8 in is left."""
    figures = work_out(job=parse_job(entries).inputs)
    log = next(part for part in sheet_of(entries).sections if part.title == "5  Fitting log")
    come_off, stand_out = next(one for one in log.blocks if isinstance(one, Grid)).rows
    taper = figures.opening.cut_taper_in_per_in
    assert come_off[-1] == "0.0000 in"
    assert come_off[1] == f"{0.010 - 0.125 * taper:.4f} in"
    assert stand_out[0] == "Stand-out"
    assert float(stand_out[-1].split()[0]) == pytest.approx(
        0.25 + 0.125, abs=0.0051
    )  # written to 0.01
    assert float(stand_out[1].split()[0]) == pytest.approx(0.25 + 0.010 / taper, abs=0.0051)


def test_a_sheet_while_the_key_is_in_is_for_the_pull_alone(entries):
    alone = {key: text for key, text in entries.items() if not key.startswith(("opening.", "key."))}
    sheet = make_sheet(job=parse_job(alone), today=DAY)
    words = words_of(sheet)
    assert "The old key is still in" in words
    assert "Compared: the high end of the pull" in words
    assert "Large end, height" not in words
    assert 1 <= len(PdfReader(io.BytesIO(sheet_pdf(sheet=sheet))).pages) <= 3


def _pull_text(sheet):
    return " ".join(words_of(sheet).split()).partition("7 Pulling plan")[2]


def test_every_jack_has_its_mark_in_psi_and_bar_and_none_is_above_the_load(entries):
    """The reading times the area is a load at most one division under the step's, by hand."""
    figures = work_out(job=parse_job(entries).inputs)
    area, division = 7.22, 100.0
    text = _pull_text(sheet_of(entries))
    for step in figures.pull.steps:
        assert step.gauge_psi % division == pytest.approx(0, abs=1e-6)
        assert 0 <= step.each_lbf - step.gauge_psi * area < division * area
        psi = round(step.gauge_psi)
        assert (
            f"{psi:,} psi ({int(psi / 14.5038):,} bar)" in text
        )  # 1 bar is 14.5038 psi, NIST SP 811


def test_a_gauge_in_bar_is_read_in_bar(entries):
    changes = {"pull.gauge-division": "5 bar"}
    figures = work_out(job=parse_job({**entries, **changes}).inputs)
    text = _pull_text(sheet_of(entries, **changes))
    for step in figures.pull.steps:
        bar = step.gauge_psi / 14.503774
        assert bar / 5 == pytest.approx(round(bar / 5), abs=1e-5)
        assert f"{round(bar):,} bar (" in text


@pytest.mark.parametrize(("units", "step"), [("inch", "100 psi"), ("metric", "10 bar")])
def test_a_gauge_that_nobody_has_read_has_the_usual_division(entries, units, step):
    """Common practice: 100 psi, 10 bar."""
    changes = {"pull.gauge-division": "", "job.units": units}
    unread = {**(METRIC if units == "metric" else {}), **changes}
    same = {**unread, "pull.gauge-division": step}
    marks = [
        [one.gauge_psi for one in work_out(job=parse_job({**entries, **way}).inputs).pull.steps]
        for way in (unread, same)
    ]
    assert marks[0] == pytest.approx(marks[1])
    assert len(marks[0]) == 6


def test_a_strongback_springs_back_with_its_rod(entries):
    """U = F2 L / (2 A E) and F2 L3 / (96 E I): bar and beam, any strength text (from memory)."""
    bar = {"pull.method": "strongback", "pull.jacks": "2", "pull.jack-rating": "10 tons",
           "pull.bar-hole": "13/16 in", "pull.area": "2.24", "pull.bar-width": "4 in",
           "pull.bar-depth": "3 in", "pull.bar-span": "12 in", "pull.bar-steel": "A36 plate",
           "pull.rod-free": "14 in"}  # fmt: skip
    pull = work_out(job=parse_job({**entries, **bar}).inputs).pull
    force = pull.decision.stop_at_lbf
    rod = force**2 * 14 / (2 * 0.334 * 30e6)  # 3/4-10: 0.334 in2, ASME B1.1
    beam = force**2 * 12**3 / (96 * 30e6 * 4 * 3**3 / 12)
    assert pull.watched.energy_lbf_in == pytest.approx(rod + beam, rel=0.002)  # 0.334 is rounded
    assert "Stored in the rod and strongback at the stop load" in _pull_text(
        sheet_of(entries, **bar)
    )


def test_the_nut_is_never_told_more_torque_than_brings_the_stop_load(entries):
    """T = K F d, K = 0.18 greased: Shigley, table 8-15 (from memory); in foot-pounds, down."""
    stop = work_out(job=parse_job(entries).inputs).pull.decision.stop_at_lbf
    told = re.search(
        r"Greased, ([\d,]+) lbf ft brings the stop load", _pull_text(sheet_of(entries))
    )
    brought = float(told[1].replace(",", "")) * 12 / (0.18 * 0.75)
    assert 0.95 * stop < brought <= stop


def test_strokes_are_counted_down_where_they_can_be_counted(entries):
    """A long thin rod and a small pump: x = F L / (A E), n = x times the ram's area / stroke."""
    changes = {"pull.load-by": "strokes", "pull.pump-stroke": "0.02", "pull.rod-free": "40 in"}
    figures = work_out(job=parse_job({**entries, **changes}).inputs)
    stop = figures.pull.steps[-1]
    stretch = stop.load_lbf * 40 / (0.334 * 30e6)  # 3/4-10: 0.334 in2, ASME B1.1
    assert stop.strokes == int(stretch * 7.22 / 0.02)
    text = _pull_text(sheet_of(entries, **changes))
    assert "Strokes count from where all is tight" in text
    assert "Gauge" not in text
    assert stop.gauge_psi is None


def test_the_sheet_says_what_the_stop_load_does_besides(entries):
    text = _pull_text(sheet_of(entries))
    assert "The rig reacts on the face of the hub" in text
    assert re.search(
        r"Stored in the rod at the stop load [\d,]+ ft lbf, as much as a 12 lb sledge that falls"
        r" [\d,]+ ft",
        text,
    )
    assert "By the nut alone, without jacks" in text
    cell = _pull_text(sheet_of(entries, **{"pull.load-by": "load cell"}))
    assert "Gauge" not in cell
    assert "Load step Load cell" in cell
