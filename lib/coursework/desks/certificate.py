"""The certificate of an open class: its own, or one that the class signs for itself.

One that is signed by nobody known makes every browser warn once. Its fingerprint stands on the
sheet of codes, so that whoever wants to know can compare before going on.
"""

from __future__ import annotations

import hashlib
import ipaddress
import os
import ssl
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from coursework.room.classfolder import ClassFolder
from coursework.room.hub_settings import own_certificate
from taperkey.files import write_whole

__all__ = ["Certificate", "certificate_of", "fingerprint_of", "sign_own"]

DAYS = 365  # browsers refuse what is valid for much longer
LEFT_DAYS = 30


@dataclass(frozen=True)
class Certificate:
    """Certificate and key as files, and the fingerprint where nobody known signed it."""

    certificate: Path
    key: Path
    fingerprint: str = ""


def certificate_of(
    class_folder: ClassFolder, private: Path, *, name: str, sign: bool
) -> Certificate | None:
    """Return what the class is served with over https; None for plain http.

    Parameters
    ----------
    class_folder : ClassFolder
        Whose ``class.toml`` may name certificate and key.
    private : Path
        Where one that the class signs for itself is kept.
    name : str
        Address or name that apprentices use.
    sign : bool
        Whether the class signs one for itself where none is named.
    """
    pair = own_certificate(class_folder)
    if pair is not None:
        return Certificate(*pair)
    if not sign:
        return None
    certificate, key = private / "certificate.pem", private / "certificate.key"
    if not _serves(certificate, key, name):
        sign_own(certificate, key, name=name)
    return Certificate(certificate, key, fingerprint_of(certificate))


def fingerprint_of(certificate: Path) -> str:
    """Return the SHA-256 fingerprint as browsers show it, in pairs."""
    found = ssl.PEM_cert_to_DER_cert(certificate.read_text("ascii"))
    told = hashlib.sha256(found).hexdigest().upper()
    return ":".join(told[place : place + 2] for place in range(0, len(told), 2))


def _serves(certificate: Path, key: Path, name: str) -> bool:
    """Say whether a kept certificate is for this name, lasts a while and fits its key.

    A signing that was cut off leaves a new key beside an old certificate.
    """
    from cryptography import x509

    try:
        found = x509.load_pem_x509_certificate(certificate.read_bytes())
        names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, "")
    except (OSError, ValueError, x509.ExtensionNotFound):
        return False
    lasts = found.not_valid_after_utc > datetime.now(UTC) + timedelta(days=LEFT_DAYS)
    return lasts and any(str(one.value) == name for one in names)


def sign_own(certificate: Path, key: Path, *, name: str) -> None:
    """Make a key and a certificate for a name, signed by itself."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import NameOID

    made = ec.generate_private_key(ec.SECP256R1())
    try:
        address: x509.GeneralName = x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        address = x509.DNSName(name)
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name[:64])])
    now = datetime.now(UTC)
    signed = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(made.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=DAYS))
        .add_extension(x509.SubjectAlternativeName([address]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .sign(made, hashes.SHA256())
    )
    secret = made.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    handle = os.open(key, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(secret)
    write_whole(certificate, signed.public_bytes(serialization.Encoding.PEM))
