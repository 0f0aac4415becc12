"""`taperkey sheet`: a job file to begin from, a sheet from it, and what is wrong line by line."""

from pathlib import Path

import pytest

from keycourse.cli import main


def test_from_template_to_sheet(
    tmp_path: Path, job_file, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.toml"
    assert main(["sheet", "--new", str(job)]) == 0
    assert main(["sheet", str(job)]) == 2  # nothing filled in, nothing permitted
    assert "STOP: not given: method" in capsys.readouterr().err
    main(["sheet", "--new", str(tmp_path / "again.toml")])
    job_file()
    assert main(["sheet", str(job), "--paper", "Letter", "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr().out
    assert f"Then: taperkey sheet {tmp_path / 'again.toml'}" in said
    assert f"To print:   {tmp_path / 'out' / 'job-sheet.pdf'}" in said
    assert sorted(one.name for one in (tmp_path / "out").iterdir()) == [
        *("job-sheet.html", "job-sheet.pdf"),
    ]
    assert "size: Letter" in (tmp_path / "out" / "job-sheet.html").read_text(encoding="utf-8")


def test_without_a_folder_the_sheet_lies_beside_the_job(tmp_path: Path, job_file) -> None:
    job = job_file("winch.toml")
    assert main(["sheet", str(job)]) == 0
    assert (tmp_path / "winch-sheet.pdf").is_file()


def test_a_stop_is_said_on_the_screen_too(job_file, capsys) -> None:
    job = job_file(**{"opening.keyway-at-bottom": "no"})
    assert main(["sheet", str(job)]) == 0
    assert "STOP: The heights were taken with the keyway away" in capsys.readouterr().out


def test_what_is_wrong_is_said_line_by_line_and_nothing_is_written(tmp_path: Path, capsys) -> None:
    job = tmp_path / "job.toml"
    job.write_text('[job]\ntitle = "Winch"\nunits = "inch"\n', encoding="utf-8")
    assert main(["sheet", str(job)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert lines[0] == "No sheet was made from job.toml:"
    assert lines[1].startswith("- STOP: not given: method (pull.method).")
    assert all(line.startswith("- ") for line in lines[1:])
    assert [one.name for one in tmp_path.iterdir()] == ["job.toml"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["sheet"], "Give a job file, or --new and a name for a job file to begin from"),
        (["sheet", "no-such-job.toml"], "no-such-job.toml: No such file or directory."),
    ],
)
def test_a_wrong_call_is_one_sentence(arguments, words, capsys) -> None:
    assert main(arguments) == 2
    assert capsys.readouterr().err.startswith(words)


def test_a_job_file_is_never_written_over(tmp_path: Path, capsys) -> None:
    job = tmp_path / "job.toml"
    job.write_text("mine", encoding="utf-8")
    assert main(["sheet", "--new", str(job)]) == 2
    assert job.read_text(encoding="utf-8") == "mine"
    assert capsys.readouterr().err.startswith("job.toml is there already and was left alone.")
