"""A class's own certificate: who trusts it is served, under its name and no other."""

from __future__ import annotations

import os
import socket
import ssl
import threading
from pathlib import Path

import pytest

from coursework.desks.certificate import certificate_of, fingerprint_of
from coursework.room.classfolder import ClassFolder, new_class
from coursework.room.roster import Apprentice


@pytest.fixture
def quarry(tmp_path: Path) -> ClassFolder:
    return new_class(
        tmp_path / "class", code="QQ-26-K7PX", title="T", roster=[Apprentice(7, "Zoë Ferrant")]
    )


def _greeted(certificate: Path, key: Path, trust: ssl.SSLContext, name: str) -> bytes:
    """Return the certificate that a client sees who greets a server of ours."""
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(certificate, key)
    with socket.create_server(("127.0.0.1", 0)) as door:

        def answer() -> None:
            line, _ = door.accept()
            try:
                serving.wrap_socket(line, server_side=True).close()
            except (ssl.SSLError, OSError):
                line.close()

        threading.Thread(target=answer, daemon=True).start()
        with socket.create_connection(door.getsockname()) as line:
            met = trust.wrap_socket(line, server_hostname=name)
            return met.getpeercert(binary_form=True) or b""


@pytest.mark.parametrize("name", ["127.0.0.1", "quarry.example"])
def test_who_trusts_it_is_served_under_that_name_and_no_other(
    quarry: ClassFolder, tmp_path: Path, name: str
) -> None:
    made = certificate_of(quarry, tmp_path, name=name, sign=True)
    assert made is not None
    trust = ssl.create_default_context(cafile=str(made.certificate))
    seen = _greeted(made.certificate, made.key, trust, name)
    assert seen == ssl.PEM_cert_to_DER_cert(made.certificate.read_text())
    with pytest.raises(ssl.SSLCertVerificationError):
        _greeted(made.certificate, made.key, trust, "other.example")
    with pytest.raises(ssl.SSLCertVerificationError):
        _greeted(made.certificate, made.key, ssl.create_default_context(), name)


def test_it_is_kept_for_the_same_name_and_made_again_for_another(
    quarry: ClassFolder, tmp_path: Path
) -> None:
    first = certificate_of(quarry, tmp_path, name="10.0.0.5", sign=True)
    again = certificate_of(quarry, tmp_path, name="10.0.0.5", sign=True)
    other = certificate_of(quarry, tmp_path, name="10.0.0.6", sign=True)
    assert first is not None
    assert first == again
    assert other is not None
    assert other.fingerprint != first.fingerprint == again.fingerprint  # type: ignore[union-attr]
    if os.name != "nt":
        assert other.key.stat().st_mode & 0o077 == 0


def test_the_class_s_own_goes_before_and_shows_no_fingerprint(
    quarry: ClassFolder, tmp_path: Path
) -> None:
    own = certificate_of(quarry, tmp_path, name="10.0.0.5", sign=True)
    assert own is not None
    settings = quarry.folder / "class.toml"
    hub = f'\n[hub]\ncertificate = "{own.certificate.as_posix()}"\nkey = "{own.key.as_posix()}"\n'
    settings.write_text(settings.read_text() + hub)
    found = certificate_of(quarry, tmp_path / "x", name="10.0.0.5", sign=False)
    assert found is not None
    assert (found.certificate, found.fingerprint) == (own.certificate, "")


def test_without_one_it_is_plain_http(quarry: ClassFolder, tmp_path: Path) -> None:
    assert certificate_of(quarry, tmp_path, name="10.0.0.5", sign=False) is None


def test_the_fingerprint_is_written_as_browsers_write_it(tmp_path: Path) -> None:
    """FIPS 180-4's example: SHA-256 of "abc" is ba7816bf…; a PEM of those three bytes is "YWJj"."""
    path = tmp_path / "x.pem"
    path.write_text("-----BEGIN CERTIFICATE-----\nYWJj\n-----END CERTIFICATE-----\n")
    told = fingerprint_of(path)
    assert told.startswith("BA:78:16:BF:8F:01:CF:EA:41:41:40:DE")
    assert len(told) == 95
