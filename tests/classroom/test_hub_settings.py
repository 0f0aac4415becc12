"""What a class says about its hub, and every refusal before it starts."""

import importlib.util
import json
import os
import shutil
import socket
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from coursework.room import hub
from coursework.room.classfolder import ClassFolder, new_class, open_class
from coursework.room.hub_settings import HubError, HubSettings, read_hub_settings
from coursework.room.roster import Apprentice, parse_roster
from keycourse.cli import main

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="a hub runs on Linux only")

find = shutil.which  # before the checks put another in its place
closed_at = hub.closed_at
real = importlib.util.find_spec
PEOPLE = (Apprentice(7, "Zoë Ferrant"), Apprentice(8, "Bram Oakes", "boakes"))


@pytest.fixture
def room(tmp_path: Path) -> ClassFolder:
    return new_class(tmp_path / "class", code="QQ-26", title="Taper keys", roster=PEOPLE)


def with_hub(room: ClassFolder, *lines: str) -> ClassFolder:
    path = room.folder / "class.toml"
    path.write_text(
        path.read_text("utf-8") + "[hub]\n" + "".join(f"{line}\n" for line in lines), "utf-8"
    )
    return open_class(room.folder)


def refusal(room: ClassFolder, *lines: str) -> str:
    with pytest.raises(HubError) as refused:
        read_hub_settings(with_hub(room, *lines))
    return str(refused.value).replace(str(room.folder), "CLASS")


def test_accounts_come_from_the_list_or_from_the_number(room: ClassFolder) -> None:
    settings = read_hub_settings(with_hub(room, 'instructors = ["w-ashby"]'))
    assert dict(settings.apprentices) == {"qq26-007": 7, "boakes": 8}
    assert settings.staff == ("w-ashby",)
    assert settings.keeper == "qq26-keeper"
    assert (settings.address, settings.port) == ("127.0.0.1", 8000)
    assert settings.place == Path("/var/lib/taperkey/QQ-26")


def test_the_list_names_accounts_in_a_column() -> None:
    roster = parse_roster("number,name,account\n7,Zoë Ferrant,ZFerrant\n8,Bram Oakes,\n")
    assert [one.account for one in roster] == ["zferrant", ""]


def test_everybody_is_on_this_computer_only_until_there_is_tls(room: ClassFolder) -> None:
    with_tls = with_hub(
        room, 'assessors = ["m-dole"]', 'certificate = "/etc/course.pem"', 'key = "/etc/course.key"'
    )
    assert read_hub_settings(with_tls).address == "0.0.0.0"


def test_nobody_may_see_the_class(room: ClassFolder) -> None:
    assert refusal(room) == (
        "CLASS/class.toml names nobody who may see the class; it must name at least one. Write "
        '[hub] on a line, and below it instructors = ["…"].'
    )


def test_plain_letters_on_the_network(room: ClassFolder) -> None:
    assert refusal(room, 'instructors = ["w-ashby"]', 'address = "0.0.0.0"') == (
        "CLASS/class.toml: address is 0.0.0.0 without certificate and key; passwords would cross "
        "the network in plain letters. Name certificate and key, or write behind_tls = true where "
        "a web server in front does it."
    )


def test_apprentice_and_assessor_in_one(room: ClassFolder) -> None:
    assert refusal(room, 'assessors = ["boakes"]') == (
        "CLASS/class.toml: account boakes is apprentice number 8 too; nobody may be both. Give "
        "one of them another account."
    )


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("color = 3", "[hub] has “color”; it must be one of"),
        ('login = "open"', "login is open; it must be system or first-use. Correct the line."),
        ("port = 90000", "port in [hub] must be a whole number from 1 to 65535. Correct the line."),
        ('place = "here"', "place in [hub] must be a full path, beginning with /."),
        ('key = "/etc/k"', "[hub] has no certificate; certificate and key go together. Add it."),
        ('keeper = "w-ashby"', "the keeper is w-ashby, an instructor or assessor too;"),
        ('assessors = ["Bad Name"]', "account is “bad name”; it must be 1 to 31 small letters,"),
        ("most_memory_mib = 100", "most_memory_mib in [hub] must be a whole number from 512 to"),
        ("largest_file_mib = 0", "largest_file_mib in [hub] must be a whole number from 8 to"),
        ("most_processes = 9", "most_processes in [hub] must be a whole number from 100 to"),
        ("place = 3", "place in [hub] must be text between quotation marks. Correct the line."),
        ('assessors = "m-dole"', "assessors in [hub] must be a list of accounts,"),
    ],
)
def test_a_wrong_line(room: ClassFolder, line: str, said: str) -> None:
    text = refusal(room, 'instructors = ["w-ashby"]', line)
    assert text.startswith(f"CLASS/class.toml: {said}")
    assert text.endswith((".", "]"))


def test_a_port_of_the_command_that_cannot_be(room: ClassFolder) -> None:
    room = with_hub(room, 'instructors = ["w-ashby"]')
    with pytest.raises(HubError) as refused:
        read_hub_settings(room, port=70_000)
    assert str(refused.value) == ("port is 70000; it must be from 1 to 65535. Name another port.")


def test_hub_that_is_no_section(room: ClassFolder) -> None:
    path = room.folder / "class.toml"
    path.write_text(f"hub = 3\n{path.read_text('utf-8')}", "utf-8")
    with pytest.raises(HubError) as refused:
        read_hub_settings(open_class(room.folder))
    assert str(refused.value) == (
        f"{path}: hub must be a section. Write [hub] on a line of its own."
    )


def test_two_with_one_account(tmp_path: Path) -> None:
    people = (Apprentice(1, "A", "shared"), Apprentice(2, "B", "shared"))
    room = new_class(tmp_path / "two", code="QQ-26", title="Two", roster=people)
    assert refusal(room, 'instructors = ["w-ashby"]') == (
        "roster.csv: account shared is there for numbers 1 and 2; each apprentice must have one "
        "of their own. Correct the column account."
    )


# looking first


@pytest.fixture
def settings(room: ClassFolder, tmp_path: Path) -> HubSettings:
    proxy = tmp_path / "proxy"
    (proxy / "node_modules" / ".bin").mkdir(parents=True)
    (proxy / "node_modules" / ".bin" / hub.PROGRAM).write_text("")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    room = with_hub(room, 'instructors = ["w-ashby"]', 'keeper = "no-such-keeper"')
    return read_hub_settings(room, proxy=proxy, port=min(port, 65000))


def installed(monkeypatch: pytest.MonkeyPatch, spec: object) -> None:
    """Answer so for what the hub needs, and truly for everything else."""
    theirs = ("jupyterhub", "firstuseauthenticator")
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name, *at: spec if name in theirs else real(name, *at)
    )


@pytest.fixture(autouse=True)
def all_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let everything be there, so that each check takes one thing away."""
    installed(monkeypatch, object())
    monkeypatch.setattr(shutil, "which", lambda name, path=None: f"/usr/bin/{name}")
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(hub, "closed_at", lambda path: Path("/root"))


def said(room: ClassFolder, settings: HubSettings) -> str:
    with pytest.raises(HubError) as refused:
        hub.look_first(open_class(room.folder), settings)
    return str(refused.value)


def test_jupyterhub_missing(room, settings, monkeypatch: pytest.MonkeyPatch) -> None:
    installed(monkeypatch, None)
    assert said(room, settings) == (
        "JupyterHub is not installed. Type: pip install 'taperkey[hub]'"
    )


def test_proxy_missing(room, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(shutil, "which", lambda name, path=None: None)
    room = with_hub(room, 'instructors = ["w-ashby"]')
    assert said(room, read_hub_settings(room)) == (
        "The proxy, configurable-http-proxy, is not installed; the hub needs it. Type: npm install "
        "--prefix /opt/course-proxy configurable-http-proxy  and start again with --proxy "
        "/opt/course-proxy."
    )
    empty = tmp_path / "empty"
    assert said(room, read_hub_settings(room, proxy=empty)) == (
        f"--proxy is {empty}; it must be the folder that configurable-http-proxy was installed "
        f"in. Type: npm install --prefix {empty} configurable-http-proxy"
    )


def test_node_missing(room, settings, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name, path=None: None)
    assert said(room, settings) == (
        "Node.js is not installed, and the proxy runs on it. Install the package nodejs (and npm), "
        "then start again."
    )


def test_not_allowed_to_make_accounts(room, settings, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert said(room, settings) == (
        "This account may not make accounts or start pages under other ones; root must start the "
        "hub. Type: sudo taperkey class serve CLASSFOLDER"
    )


def test_course_shut_away(room, settings) -> None:
    assert said(room, settings) == (
        "Other accounts cannot get through /root, and the Python that runs the course lies behind "
        "it. Install taperkey[hub] into an environment outside, such as /opt/course, and start "
        "that one."
    )


def test_masters_open(room, settings, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hub, "closed_at", lambda path: None)
    masters = Path(hub.__file__).parents[3] / "solutions"
    if not masters.is_dir():
        pytest.skip("The masters are not installed with the course.")
    assert said(room, settings) == (
        f"The masters with the worked solutions lie open in {masters}; apprentices must not read "
        f"them. Type: chmod go-rwx {masters}"
    )


def test_port_taken(room, settings, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hub, "_look_at_rights", lambda room, settings: None)
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", settings.port))
        taken.listen()
        assert said(room, settings) == (
            f"port {settings.port} is taken by another program; the hub needs three in a row. Name "
            "another one with --port, or stop the other program."
        )


def test_the_class_folder_is_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["class", "serve", str(tmp_path / "nowhere")]) == 2
    assert capsys.readouterr().err.strip() == (
        f"class folder is {tmp_path / 'nowhere'}; it must be a folder that is there. Begin one: "
        "taperkey class new FOLDER --roster FILE."
    )


# certificate and address


@pytest.fixture
def pair(tmp_path: Path) -> tuple[Path, Path]:
    """Give a certificate and its key."""
    return make_pair(tmp_path, "course")


def make_pair(folder: Path, name: str, *pass_phrase: str) -> tuple[Path, Path]:
    openssl = find("openssl")
    if openssl is None:
        pytest.skip("There is no openssl here to make a certificate with.")
    path, key = folder / f"{name}.pem", folder / f"{name}.key"
    subprocess.run(
        [openssl, "req", "-x509", "-newkey", "rsa:2048", "-subj", "/CN=course.quarry.example",
         *(pass_phrase or ("-nodes",)), "-keyout", str(key), "-out", str(path)],
        check=True, capture_output=True,
    )  # fmt: skip
    key.chmod(0o600)
    return path, key


def refused_pair(room, settings, monkeypatch, certificate: Path, key: Path) -> str:
    monkeypatch.setattr(hub, "closed_at", lambda path: None)
    monkeypatch.setattr(hub, "_require_masters_shut", lambda package: None)
    return said(room, replace(settings, certificate=certificate, key=key))


def test_a_certificate_that_is_not_there(room, settings, monkeypatch, tmp_path, pair) -> None:
    gone = tmp_path / "gone.pem"
    assert refused_pair(room, settings, monkeypatch, gone, pair[1]) == (
        f"certificate is {gone}; it must be a file that is there. Correct class.toml."
    )


def test_a_key_that_others_may_read(room, settings, monkeypatch, pair) -> None:
    pair[1].chmod(0o640)
    assert refused_pair(room, settings, monkeypatch, *pair) == (
        f"key is {pair[1]}, and other accounts may read it; only root may. Type: chmod 600 "
        f"{pair[1]}"
    )


def test_a_key_of_another_certificate(room, settings, monkeypatch, tmp_path, pair) -> None:
    _, other = make_pair(tmp_path, "other")
    assert refused_pair(room, settings, monkeypatch, pair[0], other) == (
        f"key is {other}; it must be the key of {pair[0]}. Name the two that were made together."
    )


@pytest.mark.parametrize("kind", ["locked", "no PEM"])
def test_a_key_that_cannot_be_used(room, settings, monkeypatch, tmp_path, pair, kind) -> None:
    path, key = pair
    if kind == "locked":
        path, key = make_pair(tmp_path, "locked", "-passout", "pass:quarry")
    else:
        key.write_text("a key\n")
    assert refused_pair(room, settings, monkeypatch, path, key) == (
        f"certificate is {path} with key {key}; both must be PEM files, the key without a pass "
        "phrase. Correct class.toml."
    )


def test_a_pair_that_fits_is_taken(room, settings, monkeypatch, pair) -> None:
    monkeypatch.setattr(hub, "closed_at", lambda path: None)
    monkeypatch.setattr(hub, "_require_masters_shut", lambda package: None)
    path, key = pair
    settings = replace(settings, certificate=path, key=key, address="0.0.0.0")
    assert hub.look_first(room, settings).name == hub.PROGRAM


def test_an_address_of_another_computer(room, settings, monkeypatch, pair) -> None:
    there = replace(settings, address="203.0.113.7")  # of the documentation block, nobody's own
    assert refused_pair(room, there, monkeypatch, *pair) == (
        "address is 203.0.113.7; it must be one of this computer's own, or 0.0.0.0 for all of "
        "them. Correct the line in class.toml."
    )


@pytest.mark.parametrize(
    ("address", "host"),
    [
        ("127.0.0.1", "127.0.0.1"),
        ("0.0.0.0", socket.gethostname()),
        ("::", socket.gethostname()),
        ("::1", "[::1]"),
    ],
)
def test_the_address_that_is_told_can_be_typed(settings, pair, address: str, host: str) -> None:
    plain = replace(settings, address=address, port=8000)
    assert hub._told_address(plain) == f"http://{host}:8000/"
    assert hub._told_address(replace(plain, certificate=pair[0])) == f"https://{host}:8000/"


# the configuration


def test_the_configuration_lets_in_the_class_and_nobody_else(room, settings) -> None:
    path = hub.write_config(open_class(room.folder), settings, proxy=Path("/opt/p"))
    assert path.stat().st_mode & 0o777 == 0o600
    text = path.read_text("utf-8")
    compile(text, str(path), "exec")
    assert "c.Authenticator.allow_all = False" in text
    line = next(one for one in text.splitlines() if "allowed_users" in one)
    assert eval(line.split("=", 1)[1]) == {"qq26-007", "boakes", "w-ashby"}


def test_what_pages_may_take_up_stands_in_the_configuration(room, tmp_path) -> None:
    lines = ("most_memory_mib = 2000", "largest_file_mib = 100", "most_processes = 250")
    for wanted, added in (
        ((1024, 64, 400), ()),
        ((2000, 100, 250), lines),
    ):
        place = new_class(
            tmp_path / f"class {len(added)}", code="QQ-31", title="Keys", roster=PEOPLE
        )
        there = with_hub(place, 'instructors = ["w-ashby"]', *added)
        path = hub.write_config(there, read_hub_settings(there), proxy=Path("/opt/p"))
        found = [
            int(line.split("=")[1])
            for name in ("most_memory_mib", "largest_file_mib", "most_processes")
            for line in path.read_text("utf-8").splitlines()
            if line.startswith(f"c.CourseSpawner.{name} =")
        ]
        assert tuple(found) == wanted


def test_every_part_says_what_changes_on_more_machines(room, settings) -> None:
    path = hub.write_config(open_class(room.folder), settings, proxy=Path("/opt/p"))
    parts = path.read_text("utf-8").split("\n# --- ")[1:-1]  # the last is the shop's own lines
    silent = [part.split(" -")[0] for part in parts if "# [more machines]" not in part]
    assert len(parts) == 7
    assert silent == []


def test_what_stands_in_place_of_the_configuration_is_not_followed(room, settings) -> None:
    other = room.folder.parent / "other"
    other.write_text("mine")
    (room.folder / "jupyterhub_config.py").symlink_to(other)
    path = hub.write_config(open_class(room.folder), settings, proxy=Path("/opt/p"))
    assert other.read_text() == "mine"
    assert not path.is_symlink()


def test_own_lines_only_from_a_file_nobody_else_may_write(
    room, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = room.folder / "jupyterhub_own.py"
    path.write_text("c.Spawner.start_timeout = 5\n")
    monkeypatch.setattr(os, "geteuid", lambda: path.stat().st_uid)
    path.chmod(0o600)
    assert [text for text, _ in hub.own_lines(str(room.folder))] == [path.read_text()]
    path.chmod(0o620)
    assert list(hub.own_lines(str(room.folder))) == []
    assert capsys.readouterr().err.strip() == (
        f"{path} was left out: it must belong to root, and nobody else may write it."
    )


def test_the_gradebooks_address_goes_into_the_settings(
    room, monkeypatch: pytest.MonkeyPatch
) -> None:
    from coursework.mark import address

    monkeypatch.setattr(address, "_named", {})
    room = with_hub(room, 'instructors = ["w-ashby"]')
    for server in ("one", "two"):
        hub.name_gradebook(room, f"postgresql+psycopg://keeper@{server}/class")
    address._named.clear()
    text = (room.folder / "class.toml").read_text("utf-8")
    assert text.count("gradebook =") == 1
    assert address.gradebook_address(room.folder) == "postgresql+psycopg://keeper@two/class"
    assert open_class(room.folder).code == "QQ-26"
    assert (room.folder / "class.toml").stat().st_mode & 0o007 == 0


def test_masters_where_the_course_was_installed_from_are_shut_first(monkeypatch) -> None:
    place = Path(tempfile.mkdtemp(prefix="course to install ", dir="/tmp"))
    masters = place / "solutions"
    masters.mkdir()
    for one in (place, masters):
        one.chmod(0o755)
    noted = json.dumps({"url": place.as_uri(), "dir_info": {}})  # as PEP 610 has it
    found = SimpleNamespace(read_text=lambda name: noted if name == "direct_url.json" else None)
    monkeypatch.setattr(hub, "closed_at", closed_at)
    monkeypatch.setattr(hub.importlib.metadata, "distribution", lambda name: found)
    try:
        with pytest.raises(HubError) as refusal:
            hub._require_masters_shut(Path("/nowhere/lib/taperkey"))
        assert str(refusal.value) == (
            f"The masters with the worked solutions lie open in {masters}; apprentices must not "
            f"read them. Type: chmod go-rwx {masters}"
        )
        masters.chmod(0o700)
        hub._require_masters_shut(Path("/nowhere/lib/taperkey"))
    finally:
        shutil.rmtree(place)


def test_the_command_that_tries_a_hub_is_the_one_that_is_told(monkeypatch) -> None:
    root = Path(__file__).parents[2]
    told = (root / "tests" / "hub_class.py").read_text("utf-8")
    row = next(
        line
        for line in (root / "DEVELOPERS.md").read_text("utf-8").splitlines()
        if "prepare_hub.sh" in line
    )
    command = row.split("`")[1]
    assert command in told.replace('"\n    "', "")
    named = [word for word in command.split() if word.startswith("tests/")]
    for pattern in named:
        assert list(root.glob(pattern)), pattern
