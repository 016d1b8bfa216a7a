"""What is printed when the studio opens: its address, and how to get in."""

import argparse
import io

from studio.bootstrap import network


def addresses(chosen: argparse.Namespace) -> list[str]:
    """The addresses to open; with a QR code where a phone in the house can reach the studio."""
    if network.only_here(chosen.host):
        return ["", f"The studio is open: {network.url(chosen.host, chosen.port)}"]
    outward = network.house_address() if chosen.host in network.EVERYWHERE else chosen.host
    if not outward:
        return ["", f"The studio is open on this computer: {network.url('127.0.0.1', chosen.port)}",
                "This computer is in no network, so no phone can reach it yet."]
    address = network.url(outward, chosen.port)
    return ["", "The studio is open to everybody in this network. On a phone, type or scan:", address,
            qr(address), "It travels unencrypted: open it only in a network you trust."]


def qr(address: str) -> str:
    """A QR code for the console."""
    import segno

    out = io.StringIO()
    segno.make(address, error="m").terminal(out, border=2, compact=True)
    return out.getvalue().rstrip("\n")


def sign_in(chosen: argparse.Namespace) -> list[str]:
    """How to get in: the demo's sign-in, a claim code, or nothing to say. Fills a new studio first."""
    from projects.activities import opening

    at_home = network.only_here(chosen.host)
    entrance = opening.open_studio(demo=not chosen.no_demo, at_home=at_home)
    if entrance.claim_code:
        outward = chosen.host if at_home else network.house_address() or "127.0.0.1"
        return [f"Nobody owns this studio yet. Claim it at {network.url(outward, chosen.port)}claim/",
                f"with this one-time code: {entrance.claim_code}"]
    if entrance.password:
        return [f"Sign in to the demo studio as {entrance.name} with the password {entrance.password}"]
    if entrance.name:
        return [f"Sign in to the demo studio as {entrance.name}, with the password you chose. "
                f"Forgotten? python3 manage.py new_password {entrance.name}"]
    return []
