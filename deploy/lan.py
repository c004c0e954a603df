"""What ``--lan`` needs before the server starts: this machine's addresses on the network, a certificate for them, and
the page that leads a phone to trust it."""

import ipaddress
import socket
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from urllib.parse import urlsplit

import ifaddr
from authority import PRIVATE, Address, Authority, ensure_certificate, open_authority
from places import DEPLOY

from coiltrail.terminal_square import terminal_square
from coiltrail.trouble import Trouble

EVERYWHERE = ("0.0.0.0", "::")


@dataclass(frozen=True)
class Lan:
    """``address``: the shop's on the network; ``trust_page``: where a phone learns to trust ``authority``."""

    address: str
    trust_page: str
    authority: Authority
    certificate: Path
    key: Path
    renew: Callable[[], object]  # makes the certificate anew, where it is near its end
    moved_from: str | None  # the address that phones knew the shop by, should this machine have it no more

    def words(self) -> str:
        """What the terminal says of it."""
        lines = [
            "Least painful: a domain of your own and a certificate for it by a DNS check; no phone needs any step then "
            "(DEVELOPERS.md, On the shop's own network).",
            "Otherwise a phone has to trust this shop's own authority once. Open this page on it and follow the steps:",
            terminal_square(self.trust_page),
            self.trust_page,
            f"The authority's fingerprint (SHA-256) is {self.authority.fingerprint}",
        ]
        if self.moved_from:
            lines.append(
                f"Phones know this shop as {self.moved_from}, which this machine lost. Give it that address back "
                "(in the router: always the same one), or pair the phones anew; what they recorded stays under the old "
                f"address until then. Delete {self.certificate.with_name('address')} to hear no more of it."
            )
        return "\n".join(lines)


def prepare(data: Path, host: str, port: int, wanted_url: str | None) -> Lan:
    """``host``: what the server listens on; ``wanted_url``: a PUBLIC_URL that was given. Raises Trouble."""
    folder = data / "lan"
    machine = socket.gethostname().lower()
    addresses = addresses_here(ipv6=host == "::") if host in EVERYWHERE else [_address_of(host)]
    authority = open_authority(folder, machine)
    names = [name for name in dict.fromkeys((machine, f"{machine.partition('.')[0]}.local")) if authority.covers(name)]
    public = urlsplit(wanted_url).hostname if wanted_url else str(main_address(addresses))
    if wanted_url and (not wanted_url.startswith("https:") or public not in [*names, *map(str, addresses)]):
        raise Trouble(
            f"PUBLIC_URL is {wanted_url}, for which --lan cannot make a certificate: leave PUBLIC_URL out, or serve "
            "that address with a certificate of its own and without --lan."
        )
    itself = [ipaddress.ip_address("127.0.0.1"), ipaddress.ip_address("::1")]
    every = list(dict.fromkeys([*addresses, *itself]))
    renew = partial(ensure_certificate, authority, folder, [*names, "localhost"], every)
    certificate, key = renew()
    shown = f"[{public}]" if ":" in public else public
    address = wanted_url or f"https://{shown}:{port}"
    return Lan(address, f"http://{shown}:{port + 1}", authority, certificate, key, renew, _moved(folder, address))


def addresses_here(*, ipv6: bool) -> list[Address]:
    """This machine's private addresses on its networks, those of IPv4 first. Raises Trouble where there is none."""
    found = []
    for adapter in ifaddr.get_adapters():
        for ip in adapter.ips:
            address = ipaddress.ip_address(ip.ip if ip.is_IPv4 else ip.ip[0])
            reachable = ip.is_IPv4 or (ipv6 and not address.is_link_local)
            if reachable and not address.is_loopback and _is_private(address):
                found.append(address)
    if not found:
        raise Trouble("This machine is on no private network: connect it to the shop's network, or leave --lan out.")
    return sorted(set(found), key=lambda one: (one.version, one))


def main_address(addresses: list[Address]) -> Address:
    """The one by which this machine reaches others."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))  # kept for documentation (RFC 5737); nothing is sent
            reached_by = ipaddress.ip_address(asked.getsockname()[0])
        except OSError:
            reached_by = None
    return reached_by if reached_by in addresses else addresses[0]


def show_trust_page(lan: Lan, host: str, port: int) -> subprocess.Popen:
    """Serves the page that explains how to trust the authority, beside the shop itself, until its input is closed."""
    command = [sys.executable, DEPLOY / "trust_page.py", host, str(port + 1)]
    return subprocess.Popen([*command, lan.authority.file, lan.address, lan.trust_page], stdin=subprocess.PIPE)


def _address_of(host: str) -> Address:
    try:
        address = ipaddress.ip_address(socket.getaddrinfo(host, None)[0][4][0])
    except (OSError, ValueError):
        raise Trouble(f"The host {host} is not an address of this machine: leave --host out.") from None
    if not _is_private(address):
        raise Trouble(f"{host} is an address in the public network: --lan serves private networks alone.")
    return address


def _is_private(address: Address) -> bool:
    return any(address in network for network in PRIVATE if network.version == address.version)


def _moved(folder: Path, address: str) -> str | None:
    """The address the shop had before, where it is another; the present one is kept for the next start."""
    file = folder / "address"
    before = file.read_text(encoding="utf-8").strip() if file.is_file() else address
    if before == address:
        file.write_text(address, encoding="utf-8")
        return None
    return before
