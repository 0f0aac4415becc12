"""The class list: what spreadsheets write, and what is refused with its line."""

from __future__ import annotations

import csv
import os
import unicodedata

import pytest

from coursework.page.handin import LARGEST_NUMBER
from coursework.room.roster import (
    HIGHEST_NUMBER,
    Apprentice,
    RosterError,
    parse_roster,
    read_roster,
    write_roster,
)
from taperkey.names import JOINERS, harmless, require_name

TWO = (Apprentice(1, "Ada Brindle"), Apprentice(7, "Zoë Ferrant"))


@pytest.mark.parametrize(
    "text",
    [
        "number,name\n1,Ada Brindle\n7,Zoë Ferrant\n",
        "number;name\r\n1;Ada Brindle\r\n7;Zoë Ferrant\r\n",
        "Number\tName\n1\tAda Brindle\n7\tZoë Ferrant",
        "No.,Full name\n001,Ada Brindle\n007,Zoë Ferrant\n",
        "# ; Apprentice_Name \n 7 ;  Zoë   Ferrant \n 1 ; Ada Brindle \n",
        "name,number\nZoë Ferrant,7\nAda Brindle,1\n",
        "1,Ada Brindle\n7,Zoë Ferrant\n",
        "Ada Brindle;1\nZoë Ferrant;7\n",
        "\n\nnumber,name\n\n1,Ada Brindle\n,,\n\n7,Zoë Ferrant\n\n",
        "nr,first name,surname,trade\n1,Ada,Brindle,fitter\n7,Zoë,Ferrant,turner\n",
        "Nr;Vorname;name\n1;x;Ada Brindle\n7;y;Zoë Ferrant\n",
        "number,first name,name\n1,Ada,Brindle\n7,Zoë,Ferrant\n",
        'number,name\n1,"Ada Brindle"\n7.0,Zoe\u0308 Ferrant\n',
        "sep=;\nnumber;name\n1;Ada Brindle\n7;Zoë Ferrant\n",
        "number,name,mail\n1,Ada Brindle,\n7,Zoë Ferrant,z@example.org\n",
    ],
)
def test_usual_lists_are_read(text):
    assert parse_roster(text) == TWO


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_usual_encodings_are_read(tmp_path, encoding):
    path = tmp_path / "list.csv"
    path.write_bytes("number;name\r\n1;Ada Brindle\r\n7;Zoë Ferrant\r\n".encode(encoding))
    assert read_roster(path) == TWO


def test_a_comma_in_a_name_stays():
    assert parse_roster("number,name\n7,Ferrant, Zoë\n")[0].name == "Ferrant, Zoë"
    assert parse_roster('number,name\n7,"Ferrant, Zoë"\n')[0].name == "Ferrant, Zoë"


def test_control_characters_do_not_get_through():
    assert parse_roster("number,name\n7,Zoë\x07\x1b Ferrant\n")[0].name == "Zoë Ferrant"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "number,name\n1,Ada\n7,Zoë\n\n1,Tom\n",
            "list.csv, line 5: number 1 is there twice, first on line 2; each apprentice must "
            "have a number of their own.",
        ),
        (
            "number,name\n1,Ada\n,Zoë\n",
            "list.csv, line 3: number is blank; it must be from 1 to 999. "
            "Give each apprentice a number.",
        ),
        (
            "number,name\nseven,Zoë\n",
            "list.csv, line 2: number is “seven”; it must be a whole number from 1 to 999. "
            "Give each apprentice a number.",
        ),
        (
            "number,name\n1000,Zoë\n",
            "list.csv, line 2: number is “1000”; it must be a whole number from 1 to 999. "
            "Give each apprentice a number.",
        ),
        (
            "number,name\n0,Zoë\n",
            "list.csv, line 2: number is “0”; it must be a whole number from 1 to 999. "
            "Give each apprentice a number.",
        ),
        (
            "number,name\n7,\n",
            "list.csv, line 2: number 7 has no name; it must have one. "
            "Write the name beside the number.",
        ),
        ("", "list.csv has no lines; it must have a number and a name on each line."),
        (
            "number,name\n",
            "list.csv has only headings; it must have a number and a name a line.",
        ),
        (
            "color,size\nred,7\n",
            "list.csv, line 1 is “color, size”; it must name the columns number and name, "
            "or start with a number.",
        ),
        (
            f"number,name\n7,{'Zoë' * 27}\n",
            "list.csv, line 2: name has 81 characters; it must have 80 or fewer. Correct it in the "
            "file.",
        ),
        (
            f"number,name\n1,Ada\n7,{'z' * 200_000}\n",
            "list.csv, line 4 cannot be read; it must be a number and a name.",
        ),
    ],
)
def test_refusals_name_the_line(text, sentence):
    with pytest.raises(RosterError) as refusal:
        parse_roster(text, source="list.csv")
    assert str(refusal.value) == sentence


PEOPLE_OF_MANY_PLACES = [
    "Seán O'Brien", "Jürgen Müller", "Jean-Luc Fabre", "Łukasz Żak", 'Robert "Bob" Oakes',
    "Ferrant, Zoë", "Sìne D’Arcy jr.", "Ana (Anita) Gil·lo", "李 小龍", "Дарья Ильина",
    "محمد علی‌رضا",
    "ශ්‍රී පෙරේරා", "नरेन्द्र", "ทศพร", "김 민준", "אסתר ג׳ונס", "Νίκος", "Hand 7", "X Æ",
]  # fmt: skip


@pytest.mark.parametrize("name", PEOPLE_OF_MANY_PLACES)
def test_names_of_many_places_come_through_as_they_are_written(name):
    quoted = '"' + name.replace('"', '""') + '"'
    (one,) = parse_roster(f"number,name\n7,{quoted}\n")
    assert one.name == unicodedata.normalize("NFC", name)
    # In the gradebook a letter is a letter too; only quotation marks become round ones.
    letters = [sign for sign in one.name if sign.isalnum() or sign in JOINERS]
    kept = [sign for sign in harmless(one.name) if sign.isalnum() or sign in JOINERS]
    assert kept == letters


def test_unseen_signs_that_join_no_letters_become_spaces():
    assert harmless("Ada\u202e Love\x00lace\u200b") == "Ada Love lace"
    assert harmless("علی\u200cرضا") == "علی\u200cرضا"


@pytest.mark.parametrize(("letters", "shown"), [(39, "A" * 39 + "<"), (40, "A" * 40 + "…")])
def test_a_long_name_is_shown_by_its_first_forty_signs(letters, shown):
    with pytest.raises(ValueError, match=f"name is “{shown}” and holds “<”"):
        require_name("name", "A" * letters + "<")


@pytest.mark.parametrize("sign", list("<>&=@$%{}[]\\`|;:!#*+^~_") + ["\u202e", "\u200b", "\u2028"])
def test_a_sign_that_no_name_has_is_refused_with_its_line_or_left_out(sign):
    quoted = f'"Pat {sign}svg"'
    text = f"number,name\n1,Ada\n7,{quoted}\n"
    if not sign.isprintable():
        assert parse_roster(text)[1].name == "Pat svg"
        return
    with pytest.raises(RosterError) as refusal:
        parse_roster(text, source="list.csv")
    assert str(refusal.value) == (
        f"list.csv, line 3: name is “Pat {sign}svg” and holds “{sign}”; it must be letters, "
        "spaces, digits and signs such as ' - . , only. Correct it in the file."
    )


def test_a_name_has_a_letter():
    with pytest.raises(RosterError) as refusal:
        parse_roster("number,name\n1,- - -\n", source="list.csv")
    assert str(refusal.value) == (
        "list.csv, line 2: name is “- - -”; it must hold at least one letter. Correct it in the "
        "file."
    )


def test_a_spreadsheet_file_is_named_as_such(tmp_path):
    path = tmp_path / "list.xlsx"
    path.write_bytes(b"PK\x03\x04rest")
    with pytest.raises(RosterError) as refusal:
        read_roster(path)
    assert str(refusal.value) == (
        "roster is list.xlsx, a spreadsheet file; it must be a CSV file. "
        "Open it and save it as CSV."
    )


def test_a_missing_file_is_named(tmp_path):
    path = tmp_path / "no.csv"
    with pytest.raises(RosterError) as refusal:
        read_roster(path)
    assert str(refusal.value) == (
        f"roster is {path}; it must be a file that is there. "
        "Name a file with two columns, number and name."
    )


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_what_is_no_readable_file_is_named_as_what_it_is(tmp_path):
    step = " Name a file with two columns, number and name."
    large, link = tmp_path / "large.csv", tmp_path / "link.csv"
    large.write_bytes(b"1,Ada\n" * 200_000)
    link.symlink_to(link)  # a link to itself leads nowhere
    for path, rule in (
        (tmp_path, "a file, not a folder"),
        (large, "under 1 MB"),
        (link, "a file you may read"),
    ):
        with pytest.raises(RosterError) as refusal:
            read_roster(path)
        assert str(refusal.value) == f"roster is {path}; it must be {rule}.{step}"


def test_written_and_read_again(tmp_path):
    path = tmp_path / "roster.csv"
    people = (*TWO, Apprentice(9, 'O"Hara, Sìne'))
    write_roster(path, roster=people[::-1])
    assert read_roster(path) == people
    with path.open(encoding="utf-8-sig", newline="") as file:
        assert next(csv.reader(file)) == ["number", "name"]


def test_highest_number_is_the_one_of_the_hand_in():
    assert HIGHEST_NUMBER == LARGEST_NUMBER
