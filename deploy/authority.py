"""The shop's own certificate authority: makes a certificate for this machine's names and addresses on its own network.

The authority may speak for private addresses, for this machine's name and for names under ``.local`` alone (name
constraints, RFC 5280, section 4.2.1.10), so a phone that trusts it trusts it for nothing in the wide world, even should
the key be stolen. What certificates need to be accepted by phones (names in SAN, the purpose of a server, at most 398
days) follows Apple's "Requirements for trusted certificates in iOS 13 and macOS 10.15" and its limit of 2020.
"""

import datetime
import ipaddress
import os
import re
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

Address = ipaddress.IPv4Address | ipaddress.IPv6Address

AUTHORITY_LASTS = datetime.timedelta(days=3650)
CERTIFICATE_LASTS = datetime.timedelta(days=397)
RENEWED_BEFORE = datetime.timedelta(days=30)
CLOCKS_DIFFER = datetime.timedelta(days=1)  # a phone's clock may be behind

PRIVATE = tuple(
    ipaddress.ip_network(network)
    # RFC 1918, RFC 3927, RFC 4193, and this machine itself
    for network in (
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "169.254.0.0/16",
        "127.0.0.0/8",
        "fc00::/7",
        "::1/128",
    )
)
_NAME = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)(\.(?!-)[a-z0-9-]{1,63}(?<!-))*")


@dataclass(frozen=True)
class Authority:
    """``certificate`` is what phones are to trust; it stands in ``file``."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey
    file: Path

    @property
    def fingerprint(self) -> str:
        """Its SHA-256 as phones show it."""
        return self.certificate.fingerprint(hashes.SHA256()).hex(":").upper()

    def covers(self, name: str) -> bool:
        """Whether it may speak for a host's name."""
        permitted = self.certificate.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees
        known = [one.value for one in permitted if isinstance(one, x509.DNSName)]
        return bool(_NAME.fullmatch(name)) and any(name == one or name.endswith(f".{one}") for one in known)


def open_authority(folder: Path, machine: str) -> Authority:
    """The authority kept in ``folder``, made at first, or anew when it has run out. ``machine``: this one's name."""
    file, key_file = folder / "authority.pem", folder / "authority-key.pem"
    if file.is_file() and key_file.is_file():
        kept = Authority(x509.load_pem_x509_certificate(file.read_bytes()), _read_key(key_file), file)
        if kept.certificate.not_valid_after_utc - _now() > RENEWED_BEFORE:
            return kept
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Coiltrail"),
            x509.NameAttribute(NameOID.COMMON_NAME, f"Coiltrail on {machine}"[:64]),
        ]
    )
    names = [one for one in (machine, "local", "localhost") if _NAME.fullmatch(one)]
    permitted = [*map(x509.DNSName, dict.fromkeys(names)), *map(x509.IPAddress, PRIVATE)]
    public = key.public_key()
    certificate = (
        _begun(name, name, public, AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(key_cert_sign=True, crl_sign=True), critical=True)
        .add_extension(x509.NameConstraints(permitted_subtrees=permitted, excluded_subtrees=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _write(key_file, _key_bytes(key), mode=0o600)
    _write(file, certificate.public_bytes(serialization.Encoding.PEM), mode=0o644)
    return Authority(certificate, key, file)


def ensure_certificate(
    authority: Authority, folder: Path, names: list[str], addresses: list[Address]
) -> tuple[Path, Path]:
    """The files of a certificate for ``names`` and ``addresses``, and of its key. What is there is kept unless it is
    near its end or for other names."""
    file, key_file = folder / "certificate.pem", folder / "key.pem"
    wanted = [*map(x509.DNSName, names), *map(x509.IPAddress, addresses)]
    if not _still_good(file, key_file, authority, wanted):
        key = ec.generate_private_key(ec.SECP256R1())
        subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, str((names or addresses)[0])[:64])])
        issuer = authority.certificate
        of_issuer = issuer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
        lasts = min(CERTIFICATE_LASTS, issuer.not_valid_after_utc - _now())
        certificate = (
            _begun(subject, issuer.subject, key.public_key(), lasts)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(_usage(digital_signature=True), critical=True)
            .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
            .add_extension(x509.SubjectAlternativeName(wanted), critical=False)
            .add_extension(x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(of_issuer), critical=False)
            .sign(authority.key, hashes.SHA256())
        )
        _write(key_file, _key_bytes(key), mode=0o600)
        _write(file, certificate.public_bytes(serialization.Encoding.PEM), mode=0o644)
    return file, key_file


def _still_good(file: Path, key_file: Path, authority: Authority, wanted: list[x509.GeneralName]) -> bool:
    try:
        certificate = x509.load_pem_x509_certificate(file.read_bytes())
        certificate.verify_directly_issued_by(authority.certificate)
        if certificate.public_key() != _read_key(key_file).public_key():
            return False
    except (OSError, ValueError, TypeError, InvalidSignature):
        return False
    named = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return set(named) == set(wanted) and certificate.not_valid_after_utc - _now() > RENEWED_BEFORE


def _begun(subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, lasts: datetime.timedelta):
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(_now() - CLOCKS_DIFFER)
        .not_valid_after(_now() - CLOCKS_DIFFER + lasts)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
    )


def _usage(**meant: bool) -> x509.KeyUsage:
    every = (
        "digital_signature",
        "content_commitment",
        "key_encipherment",
        "data_encipherment",
        "key_agreement",
        "key_cert_sign",
        "crl_sign",
        "encipher_only",
        "decipher_only",
    )
    return x509.KeyUsage(**{one: meant.get(one, False) for one in every})


def _read_key(file: Path) -> ec.EllipticCurvePrivateKey:
    return serialization.load_pem_private_key(file.read_bytes(), password=None)


def _key_bytes(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(file: Path, content: bytes, mode: int) -> None:
    """Never readable by others for a moment, and never half there."""
    unfinished = file.with_suffix(".unfinished")
    unfinished.unlink(missing_ok=True)
    with open(os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as written:
        written.write(content)
        written.flush()
        os.fsync(written.fileno())
    unfinished.replace(file)


def _now() -> datetime.datetime:
    return datetime.datetime.now(datetime.UTC)
