"""The shop's own authority and its certificates, as OpenSSL judges them in a handshake."""

import datetime
import ipaddress
import ssl

import authority
import lan
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID

from coiltrail.trouble import Trouble

HERE = ipaddress.ip_address("192.168.7.20")


@pytest.fixture
def ours(tmp_path):
    return authority.open_authority(tmp_path / "lan", "desk")


@pytest.fixture
def files(ours, tmp_path):
    return authority.ensure_certificate(ours, tmp_path / "lan", ["desk", "desk.local"], [HERE])


def shake_hands(certificate, key, trusted, host):
    """A TLS handshake in memory; raises what the client finds wrong."""
    there = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    there.load_cert_chain(certificate, key)
    here = ssl.create_default_context(cafile=trusted)
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = here.wrap_bio(to_client, to_server, server_hostname=host)
    server = there.wrap_bio(to_server, to_client, server_side=True)
    ends = [client, server]
    for _ in range(6):
        for end in list(ends):
            try:
                end.do_handshake()
                ends.remove(end)
            except ssl.SSLWantReadError:
                pass
    assert not ends


def read(file):
    return x509.load_pem_x509_certificate(file.read_bytes())


@pytest.mark.parametrize("host", ["desk", "desk.local", "192.168.7.20"])
def test_who_trusts_the_authority_trusts_the_machine_by_every_name(files, ours, host):
    shake_hands(*files, ours.file, host)


def test_who_does_not_trust_it_refuses(files, tmp_path):
    other = authority.open_authority(tmp_path / "other", "desk")
    with pytest.raises(ssl.SSLCertVerificationError):
        shake_hands(*files, other.file, "desk")


@pytest.mark.parametrize("host", ["192.168.7.21", "other.local"])
def test_it_is_for_no_other_address(files, ours, host):
    with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        shake_hands(*files, ours.file, host)


@pytest.mark.parametrize(
    ("host", "named"),
    [
        ("bank.example", x509.DNSName("bank.example")),
        ("198.51.100.7", x509.IPAddress(ipaddress.ip_address("198.51.100.7"))),
    ],
)
def test_the_authority_can_vouch_for_nothing_in_the_wide_world(ours, tmp_path, host, named):
    """Even who steals its key makes nothing that a phone accepts."""
    files = authority.ensure_certificate(
        ours,
        tmp_path,
        [named.value] if isinstance(named, x509.DNSName) else [],
        [named.value] if isinstance(named, x509.IPAddress) else [],
    )
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        shake_hands(*files, ours.file, host)


def test_it_makes_no_further_authority(ours):
    constraints = ours.certificate.extensions.get_extension_for_class(x509.BasicConstraints)
    assert constraints.critical and (constraints.value.ca, constraints.value.path_length) == (True, 0)


def test_what_phones_ask_of_a_certificate(files):
    certificate = read(files[0])
    assert certificate.not_valid_after_utc - certificate.not_valid_before_utc <= datetime.timedelta(days=398)
    usage = certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(usage) == [ExtendedKeyUsageOID.SERVER_AUTH]
    named = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert named.get_values_for_type(x509.IPAddress) == [HERE]


def test_keys_are_their_owner_s_alone(files, ours):
    folder = ours.file.parent
    assert (folder.stat().st_mode & 0o777, (folder / "authority-key.pem").stat().st_mode & 0o777) == (0o700, 0o600)
    assert files[1].stat().st_mode & 0o777 == 0o600


def test_both_are_kept_from_start_to_start(files, ours, tmp_path):
    again = authority.open_authority(tmp_path / "lan", "desk")
    assert again.certificate == ours.certificate
    before = files[0].read_bytes()
    authority.ensure_certificate(again, tmp_path / "lan", ["desk.local", "desk"], [HERE])
    assert files[0].read_bytes() == before


@pytest.mark.parametrize("change", ["address", "end", "key", "damage", "authority"])
def test_a_certificate_is_made_anew_where_it_must(files, ours, tmp_path, monkeypatch, change):
    before, addresses = files[0].read_bytes(), [HERE]
    match change:
        case "address":
            addresses = [ipaddress.ip_address("192.168.7.99")]
        case "end":
            later = datetime.datetime.now(datetime.UTC) + datetime.timedelta(days=370)
            monkeypatch.setattr(authority, "_now", lambda: later)
        case "key":
            files[1].unlink()
        case "damage":
            files[0].write_text("a letter")
        case "authority":
            (tmp_path / "lan" / "authority.pem").unlink()
            ours = authority.open_authority(tmp_path / "lan", "desk")
    authority.ensure_certificate(ours, tmp_path / "lan", ["desk", "desk.local"], addresses)
    assert files[0].read_bytes() != before
    if change != "end":
        shake_hands(*files, ours.file, str(addresses[0]))


def test_an_authority_that_has_run_out_is_made_anew(ours, tmp_path, monkeypatch):
    later = datetime.datetime.now(datetime.UTC) + authority.AUTHORITY_LASTS
    monkeypatch.setattr(authority, "_now", lambda: later)
    assert authority.open_authority(tmp_path / "lan", "desk").certificate != ours.certificate


def test_names_that_it_may_not_speak_for_are_left_out(ours, monkeypatch, tmp_path):
    assert ours.covers("desk") and ours.covers("another.local")
    assert not ours.covers("renamed") and not ours.covers("bank.example") and not ours.covers("no name.local")
    monkeypatch.setattr(lan.socket, "gethostname", lambda: "renamed")
    prepared = lan.prepare(tmp_path, "127.0.0.1", 8150, None)
    named = read(prepared.certificate).extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert named.get_values_for_type(x509.DNSName) == ["renamed.local", "localhost"]


def test_it_can_be_renewed_while_it_is_served(tmp_path, monkeypatch):
    prepared = lan.prepare(tmp_path, "127.0.0.1", 8150, None)
    before = prepared.certificate.read_bytes()
    prepared.renew()
    assert prepared.certificate.read_bytes() == before
    later = datetime.datetime.now(datetime.UTC) + datetime.timedelta(days=370)
    monkeypatch.setattr(authority, "_now", lambda: later)
    prepared.renew()
    assert read(prepared.certificate).not_valid_after_utc > later + datetime.timedelta(days=300)


def test_the_address_that_phones_know_is_remembered(tmp_path):
    first = lan.prepare(tmp_path, "127.0.0.1", 8150, None)
    assert (first.address, first.trust_page, first.moved_from) == (
        "https://127.0.0.1:8150",
        "http://127.0.0.1:8151",
        None,
    )
    moved = lan.prepare(tmp_path, "127.0.0.2", 8150, None)
    assert (moved.address, moved.moved_from) == ("https://127.0.0.2:8150", "https://127.0.0.1:8150")
    assert "Phones know this shop as https://127.0.0.1:8150" in moved.words()
    back = lan.prepare(tmp_path, "127.0.0.1", 8150, None)
    assert back.moved_from is None and first.authority.fingerprint in back.words()


@pytest.mark.parametrize("url", ["http://127.0.0.1:8150", "https://shop.example"])
def test_a_public_address_that_cannot_be_vouched_for(tmp_path, url):
    with pytest.raises(Trouble, match=r"PUBLIC_URL is .*leave PUBLIC_URL out"):
        lan.prepare(tmp_path, "127.0.0.1", 8150, url)


def test_a_machine_in_the_public_network(tmp_path, monkeypatch):
    with pytest.raises(Trouble, match="private networks alone"):
        lan.prepare(tmp_path, "198.51.100.7", 8150, None)
    monkeypatch.setattr(lan.ifaddr, "get_adapters", list)
    with pytest.raises(Trouble, match="no private network"):
        lan.prepare(tmp_path, "0.0.0.0", 8150, None)


def test_a_stranger_s_certificate_in_its_place_is_replaced(files, ours, tmp_path):
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([])
    stranger = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(datetime.datetime.now(datetime.UTC))
        .not_valid_after(datetime.datetime.now(datetime.UTC) + datetime.timedelta(days=90))
        .sign(key, hashes.SHA256())
    )
    files[0].write_bytes(stranger.public_bytes(authority.serialization.Encoding.PEM))
    authority.ensure_certificate(ours, tmp_path / "lan", ["desk", "desk.local"], [HERE])
    shake_hands(*files, ours.file, "desk")
