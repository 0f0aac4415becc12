"""A class on a real hub with a certificate: over https, and no other way in."""

import importlib.util
import os
import shutil
import socket
import ssl
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

PAGE = "exercises/01-measure/01-measure.ipynb"
NAME = socket.gethostname()
OTHER = "127.0.0.2"  # this computer as well, and not the address that "this computer only" means


def _kit(name: str) -> ModuleType:
    if name in sys.modules:
        return sys.modules[name]
    path = Path(__file__).parents[1] / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


hub_class = _kit("hub_class")
hub_client = _kit("hub_client")


def _or_say_why() -> None:
    why = hub_class.missing()
    if not why and shutil.which("openssl") is None:
        why = "There is no openssl here to make a certificate with: https was not tried."
    if why:
        if os.environ.get("TAPERKEY_HUB") == "1":
            pytest.fail(why)
        pytest.skip(why)


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Give a certificate for this computer's name, signed by itself, and its key."""
    _or_say_why()
    folder = tmp_path_factory.mktemp("tls")
    path, key = folder / "course.pem", folder / "course.key"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2",
         "-subj", f"/CN={NAME}", "-addext", f"subjectAltName=DNS:{NAME},IP:127.0.0.1,IP:{OTHER}",
         "-keyout", str(key), "-out", str(path)],
        check=True, capture_output=True,
    )  # fmt: skip
    key.chmod(0o600)
    return path, key


@pytest.fixture(scope="module")
def secured(certificate: tuple[Path, Path]) -> Iterator[object]:
    path, key = certificate
    room = hub_class.ServedClass(1, lines=f'certificate = "{path}"\nkey = "{key}"\n')
    room.address = f"https://{NAME}:{room.port}"
    try:
        room.start()
        yield room
    finally:
        room.stop()


def body(address: str, trusted: Path | None = None) -> str:
    context = ssl.create_default_context(cafile=trusted) if trusted else None
    with urllib.request.urlopen(f"{address}/hub/login", timeout=30, context=context) as reply:
        assert reply.status == 200
        return str(reply.read().decode("utf-8"))


def listens(address: str, port: int) -> bool:
    try:
        socket.create_connection((address, port), timeout=5).close()
    except OSError:
        return False
    return True


def test_the_log_in_page_is_at_the_address_that_was_told(secured, certificate) -> None:
    assert f"The hub is open at {secured.address}/\n" in secured.said()
    assert 'name="password"' in body(secured.address, certificate[0])
    assert 'name="password"' in body(f"https://{OTHER}:{secured.port}", certificate[0])


def test_it_is_this_certificate_that_it_shows(secured, certificate) -> None:
    shown = ssl.get_server_certificate((NAME, secured.port))
    assert ssl.PEM_cert_to_DER_cert(shown) == ssl.PEM_cert_to_DER_cert(certificate[0].read_text())
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        body(secured.address)  # to somebody who was not given it


def test_log_in_and_a_page_at_work(secured, certificate) -> None:
    account = secured.apprentices[0]
    word = secured.passwords()[account]

    async def works() -> tuple[str, str]:
        who = hub_client.Person(secured.address, account, word, trusted=str(certificate[0]))
        await who.log_in()
        await who.start()
        page = await who.open_page(PAGE)
        await page.run()
        box = next(
            one
            for one, has in page.widgets.items()
            if has.get("_model_name") == "TextModel"
            and has.get("description", "").startswith("Mouth height")
        )
        await page.type_into(box, "1.0104 in")
        await page.execute("import getpass; raise ValueError(getpass.getuser())")
        return page.errors[-1], page._socket.protocol.stream.socket.version()

    said, wrapped = hub_client.finish(works())
    assert said == f"ValueError: {account}"
    assert wrapped.startswith("TLS")
    kept = secured.course(account) / "exercises" / "01-measure" / "answers.json"
    assert "1.0104 in" in kept.read_text("utf-8")


def test_a_wrong_password_is_refused_here_too(secured, certificate) -> None:
    who = hub_client.Person(
        secured.address, secured.apprentices[0], "guess", trusted=str(certificate[0])
    )
    with pytest.raises(hub_client.RefusedError, match="Account and password do not go together"):
        hub_client.finish(who.log_in())


def test_plain_http_is_not_answered_with_the_page(secured) -> None:
    with socket.create_connection((NAME, secured.port), timeout=30) as plain:
        plain.sendall(f"GET /hub/login HTTP/1.1\r\nHost: {NAME}\r\n\r\n".encode())
        plain.settimeout(30)
        got = b""
        try:
            while more := plain.recv(65536):
                got += more
        except ConnectionResetError:
            pass
    assert b"200 OK" not in got
    assert b"password" not in got


def test_only_the_way_in_is_open_to_the_network(secured) -> None:
    ports = range(secured.port, secured.port + 3)  # the way in, the hub, the proxy's orders
    assert [listens("127.0.0.1", port) for port in ports] == [True, True, True]
    assert [listens(OTHER, port) for port in ports] == [True, False, False]


def test_without_a_certificate_on_this_computer_only() -> None:
    _or_say_why()
    room = hub_class.ServedClass(1)
    try:
        room.start()
        assert f"The hub is open at http://127.0.0.1:{room.port}/\n" in room.said()
        assert 'name="password"' in body(room.address)
        assert not listens(OTHER, room.port)
    finally:
        room.stop()
