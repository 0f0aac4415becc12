"""An invented job at Quillmoor Quarry: every entry of the list that has an example."""

import pytest

from keycourse.jobsheet.fields import example_entries


def write_toml(path, entries):
    """Write entries as a job file."""
    sections = {}
    for key, text in entries.items():
        section, _, name = key.partition(".")
        sections.setdefault(section, []).append(f'{name} = "{text}"')
    lines = [line for section, inside in sections.items() for line in (f"[{section}]", *inside)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


@pytest.fixture
def job_file(entries, tmp_path):
    """Return the path of the invented job's file; changes are entries by their keys."""

    def write(name="job.toml", **changes):
        path = tmp_path / name
        write_toml(path, {**entries, **{key.replace("__", "."): it for key, it in changes.items()}})
        return path

    return write


@pytest.fixture
def entries():
    return example_entries("hollow-ram")
