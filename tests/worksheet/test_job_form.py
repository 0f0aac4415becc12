"""The job as a form: saved as typed, asked by method, and a sheet from its button."""

import re

import ipywidgets
import pytest

from coursework.page.entries import EntriesFile
from keycourse.jobsheet.fields import FIELDS, SECTIONS
from keycourse.jobsheet.form import KEY_BEFORE, job_form
from keycourse.jobsheet.reading_form import paper_items
from keycourse.jobsheet.template import template_text


@pytest.fixture
def place(tmp_path):
    for name in ("lessons", "exercises"):
        (tmp_path / name).mkdir()
    return tmp_path / "lessons"


def opened(place):
    return job_form(EntriesFile(place / "answers.json"), place).form


def test_every_field_has_a_box_with_its_name(place):
    form = opened(place)
    assert set(form.entries) == {field.key for field in FIELDS}
    for entry in form.entries.values():
        assert entry.field.label.lower() in entry.box.description.lower()
        assert entry.box.tooltip == entry.field.ask
        if isinstance(entry.box, ipywidgets.Dropdown):
            assert entry.box.value == ""


def words_of(html):
    """Return what is read: the first words may be in bold."""
    return " ".join(re.sub(r"<[^>]*>", " ", html).split())


def boxes_in(widget):
    """Yield the boxes of a widget and of what it holds, as they are seen from the top."""
    if isinstance(widget, ipywidgets.Dropdown | ipywidgets.Text):
        yield widget
    for one in getattr(widget, "children", ()):
        yield from boxes_in(one)


def test_form_job_file_and_paper_form_ask_the_same_in_the_same_order(place):
    form = opened(place)
    of_box = {id(entry.box): key for key, entry in form.entries.items()}
    seen = [of_box[id(box)] for box in boxes_in(form.widget) if id(box) in of_box]
    order = [field.key for field in FIELDS]
    assert seen == order
    section, written = "", []
    for line in template_text().splitlines():
        if line.startswith("["):
            section = line[1:].partition("]")[0]
        elif " = " in line and not line.startswith("#"):
            written.append(f"{section}.{line.partition(' = ')[0]}")
    assert written == order
    on_paper = [
        f"{section}.{item.name}"
        for section in SECTIONS
        for item in paper_items(section)
        if item.name
    ]
    assert on_paper == order


def test_what_is_typed_is_saved_raw_and_found_again(place):
    form = opened(place)
    form.entries["opening.hub-length"].box.value = "four inches"
    form.entries["job.units"].box.value = "metric"
    again = opened(place)
    assert again.text("opening.hub-length") == "four inches"
    assert again.text("job.units") == "metric"
    line = words_of(again.entries["opening.hub-length"].line.value)
    assert "Saved as typed. length of the hub is “four inches”; it must start with a" in line


def test_a_second_window_is_taken_over_not_written_over(place):
    first, second = opened(place), opened(place)
    first.entries["job.title"].box.value = "Ball mill, pinion"
    second.entries["job.place"].box.value = "mill hall"
    assert second.text("job.title") == "Ball mill, pinion"
    second.entries["job.title"].box.value = "Winch, drum"
    first.entries["job.title"].box.value = "Log washer"
    assert first.text("job.title") == "Winch, drum"
    assert "changed in another window" in first.status.value


def test_the_method_decides_what_is_asked(place):
    form = opened(place)

    def shown(key):
        return form.entries[key].widget.layout.display != "none"

    assert not shown("pull.surface")
    form.entries["pull.method"].box.value = "welded strongback"
    assert shown("pull.surface")
    assert shown("pull.weld")
    assert not shown("pull.rod-grade")
    form.entries["pull.weld"].box.value = "fillet"
    form.entries["pull.method"].box.value = "none"
    assert not shown("pull.weld")
    assert form.text("pull.weld") == "fillet"


def test_what_is_missing_is_asked_for_and_no_sheet_is_written(place):
    form = opened(place)
    form.entries["job.title"].box.value = "<b>Ball mill</b>"
    form.make()
    assert "No sheet yet" in form.status.value
    assert "STOP: not given: length of the hub (opening.hub-length)." in form.result.value
    assert not list(place.glob("job-sheet.*"))


def test_example_fills_only_what_is_empty_and_makes_a_sheet(place):
    form = opened(place)
    form.entries["job.title"].box.value = "Ball mill, pinion"
    form.fill_example()
    assert form.text("job.title") == "Ball mill, pinion"
    form.make()
    assert "The job sheet is written beside this page." in form.status.value
    links = re.findall(r'href="([^"]+)"', form.result.value)
    assert links == ["/files/lessons/job-sheet.html", "/files/lessons/job-sheet.pdf"]
    html = (place / "job-sheet.html").read_text(encoding="utf-8")
    assert "Ball mill, pinion" in html
    assert (place / "job-sheet.pdf").read_bytes().startswith(b"%PDF")


def test_entries_of_another_method_do_not_get_in_the_way(place):
    form = opened(place)
    form.fill_example()
    form.entries["pull.method"].box.value = "none"
    form.make()
    assert "written beside this page" in form.status.value


def test_a_stop_is_said_at_the_button(place):
    form = opened(place)
    form.fill_example()
    form.entries["opening.keyway-at-bottom"].box.value = "no"
    form.make()
    said = words_of(form.result.value)
    assert "STOP. The heights were taken with the keyway away from the bottom" in said


def test_entries_lie_beside_the_graded_ones_under_their_own_name(place):
    form = opened(place)
    form.entries["job.title"].box.value = "Ball mill"
    texts = EntriesFile(place / "answers.json").texts()
    assert texts == {f"{KEY_BEFORE}job.title": "Ball mill"}
