"""Where a request comes from. The one place that reads an address or believes a proxy."""

from __future__ import annotations

from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network

from django.conf import settings
from django.http import HttpRequest

Address = IPv4Address | IPv6Address
UNKNOWN = "unknown"
NEIGHBORS = 64  # one household or shop has this much of an IPv6 address, and may change the rest at will


def client_address(request: HttpRequest) -> str:
    """The address of whoever asks, or ``unknown``.

    ``X-Forwarded-For`` is believed only from a proxy named in ``TRUSTED_PROXIES``, and read from its end: each proxy
    adds whom it heard, so what stands before the first stranger may be anybody's invention.
    """
    here = _read(str(request.META.get("REMOTE_ADDR", "")))
    told = str(request.META.get("HTTP_X_FORWARDED_FOR", "")).split(",")
    while here is not None and _is_trusted(here) and told:
        before = _read(told.pop())
        if before is None:
            break
        here = before
    return str(here) if here else UNKNOWN


def counted_address(request: HttpRequest) -> str:
    """The same for counting: all of a network that one person has at hand counts as one address."""
    address = _read(client_address(request))
    if isinstance(address, IPv6Address):
        return str(ip_network((address, NEIGHBORS), strict=False))
    return str(address) if address else UNKNOWN


def device(request: HttpRequest) -> str:
    """What the browser says it is, in words a person knows; nothing of it is believed."""
    said = str(request.META.get("HTTP_USER_AGENT", ""))
    browsers = {"Edg": "Edge", "OPR/": "Opera", "Firefox": "Firefox", "Chrom": "Chrome", "Safari": "Safari"}
    systems = {
        "iPad": "an iPad", "iPhone": "an iPhone", "Android": "Android", "Windows": "Windows", "CrOS": "a Chromebook",
        "Mac OS": "a Mac", "Linux": "Linux",
    }  # fmt: skip
    browser = next((name for mark, name in browsers.items() if mark in said), "")
    system = next((name for mark, name in systems.items() if mark in said), "")
    if browser and system:
        return f"{browser} on {system}"
    return browser or system or "Not known"


def _read(said: str) -> Address | None:
    """The address in what a proxy wrote, with or without a port."""
    text = said.strip()
    if text.startswith("["):
        text = text[1:].partition("]")[0]
    elif text.count(":") == 1:
        text = text.partition(":")[0]
    try:
        address = ip_address(text)
    except ValueError:
        return None
    return (address.ipv4_mapped or address) if isinstance(address, IPv6Address) else address


def _is_trusted(address: Address) -> bool:
    return any(address in ip_network(proxy, strict=False) for proxy in settings.TRUSTED_PROXIES)
