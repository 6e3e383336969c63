"""Where an HTTP gateway is, and which places may never be called.

A gateway's address is typed by a person, and its name is looked up by others: both could lead a request of ours to a
machine inside our own network. So every address a name stands for is looked at, and it is that very address which is
then connected to, not the name a second time.
"""

import ipaddress
import socket
import ssl
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlsplit

from service.core.errors import SettingError

_PORTS: Final = {"https": 443, "http": 80}


class ForbiddenTarget(OSError):
    """A gateway's name leads to an address that may not be called."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Target:
    """A gateway's address.

    Attributes:
        scheme: https, or http where that is allowed.
        host: its name or address.
        port: its port.
        path: what stands before each operation's own path; without a slash at its end.
        may_be_private: whether it may lead into private networks, this machine's loopback among them.
    """

    scheme: str
    host: str
    port: int
    path: str
    may_be_private: bool

    @property
    def authority(self) -> str:
        """Return host and port as a Host header has them (RFC 9110 section 7.2)."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return host if self.port == _PORTS[self.scheme] else f"{host}:{self.port}"

    @property
    def url(self) -> str:
        """Return the address as a person writes it."""
        return f"{self.scheme}://{self.authority}{self.path}"

    @property
    def is_loopback(self) -> bool:
        """Return whether it is on this machine by its very address; a name could be made to point anywhere."""
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return False

    def connect(self, seconds: float) -> socket.socket:
        """Open a connection, encrypted where it is https.

        Raises:
            OSError: there is no way there within that time, its certificate is not in order, or it is forbidden.
        """
        plain = self._connect_plain(seconds)
        if self.scheme == "http":
            return plain
        try:
            return ssl.create_default_context().wrap_socket(plain, server_hostname=self.host)
        except BaseException:
            plain.close()
            raise

    def _connect_plain(self, seconds: float) -> socket.socket:
        found = socket.getaddrinfo(self.host, self.port, type=socket.SOCK_STREAM)
        addresses = [
            (str(address[0]), family, kind, protocol) for family, kind, protocol, _, address in found
        ]
        if not self.may_be_private and not all(is_public(address) for address, *_ in addresses):
            raise ForbiddenTarget("the gateway's name leads into a private network")
        trouble: OSError = OSError("the gateway's name leads nowhere")
        for address, family, kind, protocol in addresses:
            line = socket.socket(family, kind, protocol)
            line.settimeout(seconds)
            try:
                line.connect((address, self.port))
                # A request is written whole: nothing is to be waited for.
                line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            except OSError as error:
                line.close()
                trouble = error
            else:
                return line
        raise trouble


def is_public(address: str) -> bool:
    """Return whether an address is reached over the public internet (IANA's special-purpose registries)."""
    found = ipaddress.ip_address(address.partition("%")[0])
    if isinstance(found, ipaddress.IPv6Address):
        # An address of IPv4 in the clothes of IPv6 is the one it wears.
        found = found.ipv4_mapped or found.sixtofour or found
    return found.is_global and not found.is_multicast


def read_target(url: str, *, allow_plain: bool, allow_private: bool) -> Target:
    """Read a gateway's address.

    Raises:
        SettingError: it is no address, or one that the settings do not allow.
    """
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError as error:
        raise SettingError(f"http_gateway_url is no address ({error}): write https://HOST/PATH.") from error
    if parts.scheme not in _PORTS or not parts.hostname or parts.query or parts.fragment or parts.username:
        raise SettingError("http_gateway_url is no address of a gateway: write https://HOST/PATH.")
    if parts.scheme == "http" and not allow_plain:
        raise SettingError(
            "http_gateway_url is not encrypted: write https://..., or set http_gateway_allow_plain "
            "if the gateway is on this machine."
        )
    target = Target(
        scheme=parts.scheme,
        host=parts.hostname,
        port=port or _PORTS[parts.scheme],
        path=parts.path.rstrip("/"),
        may_be_private=allow_private,
    )
    if not allow_private and _is_private_by_itself(target.host):
        raise SettingError(
            "http_gateway_url lies in a private network: give a public address, or set http_gateway_allow_private."
        )
    return target


def _is_private_by_itself(host: str) -> bool:
    try:
        return not is_public(host)
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")
