"""The reader: fractions, columns, rows, and the state of every table in the folder."""

from importlib import resources

import pytest

from taperkey.tables import reader

NAMES = sorted(
    path.name.removesuffix(".csv")
    for path in resources.files("taperkey.tables").iterdir()
    if path.name.endswith(".csv")
)


@pytest.mark.parametrize(
    ("text", "number"),
    [("1-3/8", 1.375), ("3/4", 0.75), (" .005 ", 0.005), ("-.020", -0.02), ("12", 12.0),
     ("1e-6", 1e-6), ("-3/4", -0.75)],
)  # fmt: skip
def test_numbers_as_books_write_them(text, number):
    assert reader.parse_number(text=text) == number


@pytest.mark.parametrize("text", ["", "1/2-13", "1-2", "-", "1/0", "a", "1-3/8 in"])
def test_what_is_no_number(text):
    with pytest.raises((ValueError, ZeroDivisionError)):
        reader.parse_number(text=text)


def test_the_folder_has_tables():
    assert {"inch_key_sizes", "metric_key_sizes", "stock_bars"} <= set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_table_reads_and_names_its_source(name):
    rows = reader.read_table(name)
    assert len(rows) > 1
    assert len(reader.read_source(name)) > 20
    in_rows = "status" in rows[0] or "source" in rows[0]
    words = ("found", "memory", "common practice", "derived")
    assert in_rows or any(word in reader.read_source(name).lower() for word in words)


STATUS_WORDS = {"found", "memory", "common", "derived", "computed", "own"}


@pytest.mark.parametrize("name", NAMES)
def test_status_is_one_of_the_words(name):
    for row in reader.read_table(name):
        if "status" in row:
            assert row["status"].replace(",", " ").split()[0] in STATUS_WORDS


def test_rows_are_read_only_and_read_once():
    row = reader.read_table("inch_key_sizes")[0]
    with pytest.raises(TypeError):
        row["width_in"] = 1.0
    assert reader.read_table("inch_key_sizes") is reader.read_table("inch_key_sizes")


def test_empty_fields_are_none():
    assert reader.read_table("inch_key_sizes")[0]["rectangular_height_in"] is None


def test_unknown_table_is_one_sentence():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        reader.read_table("no_such")
    assert str(caught.value) == "table is 'no_such'; it must be a CSV file of taperkey/tables."


def fake(monkeypatch, *lines):
    reader.read_table.cache_clear()
    monkeypatch.setattr(reader, "_lines", lambda name: list(lines))


def test_text_in_a_column_with_a_unit_is_refused(monkeypatch):
    fake(monkeypatch, "# source", "width_in,name", "1/2,a", "wide,b")
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        reader.read_table.__wrapped__("fake")
    assert str(caught.value) == "table fake column width_in holds 'wide'; it must be a number."


def test_short_row_is_refused(monkeypatch):
    fake(monkeypatch, "width_in,name", "1/2")
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        reader.read_table.__wrapped__("fake")
    assert str(caught.value) == "table fake row 1 has 1 fields; it must have 2."


def test_names_and_threads_stay_text(monkeypatch):
    fake(monkeypatch, "size,thread,count", "1/2,3/4,5", "1,1-8,6")
    rows = reader.read_table.__wrapped__("fake")
    assert [dict(row) for row in rows] == [
        {"size": "1/2", "thread": "3/4", "count": 5.0},
        {"size": "1", "thread": "1-8", "count": 6.0},
    ]
