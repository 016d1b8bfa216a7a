"""Addresses: whether a port is free, what to type on a phone, a QR code for the console."""

import errno
import ipaddress
import socket

from studio.bootstrap.words import Trouble

EVERYWHERE = {"0.0.0.0", "::"}


def url(host: str, port: int) -> str:
    """The address to type for a host; an IPv6 address gets its brackets."""
    return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"


def only_here(host: str) -> bool:
    """Whether an address is reached from this computer alone."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def check_free(host: str, port: int) -> None:
    """Raise ``Trouble`` when nothing can listen there: busy, not allowed, or no such address."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
            probe.listen(1)
        except OSError as error:
            raise Trouble(_refused(host, port, error)) from None


def _refused(host: str, port: int, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE:
        here = url("127.0.0.1" if host in EVERYWHERE else host, port)
        return (
            f"Port {port} is busy. If it is this studio, it runs already: open {here}\n"
            f"Otherwise choose another port: python3 manage.py up --port {port + 1 if port < 65535 else 8001}"
        )
    if error.errno == errno.EACCES:
        return f"Port {port} needs an administrator's rights. Choose another: manage.py up --port 8000"
    return (
        f"This computer has no address {host} to listen on. Leave --host away, or give 0.0.0.0 to open the "
        "studio to the house."
    )


def house_address() -> str:
    """This computer's address in the house's network, or "" without one. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Connecting a datagram socket only asks which way packets would leave; the address is never used.
            probe.connect(("192.0.2.1", 9))
            return str(probe.getsockname()[0])
        except OSError:
            return ""


def reached_by(host: str) -> list[str]:
    """Names and addresses under which the studio may be asked for when it listens on ``host``."""
    here = ["localhost", "127.0.0.1", "[::1]"]
    if only_here(host):
        return here
    if host not in EVERYWHERE:
        return [*here, f"[{host}]" if ":" in host else host]
    name = socket.gethostname().lower()
    names = [name, name.split(".")[0] + ".local"] if name else []
    return [*here, *filter(None, [house_address()]), *names]
