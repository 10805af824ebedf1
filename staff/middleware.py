"""The shop's profile and time zone, on every request."""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from staff.queries import shop_profile
from staff.roles import using_shop


class ShopMiddleware:
    """Puts ``request.shop`` in place and shows times in the shop's zone."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request in the shop's zone."""
        request.shop = SimpleLazyObject(shop_profile)  # type: ignore[attr-defined]
        if not request.user.is_authenticated:
            return self.get_response(request)
        shop = request.shop  # type: ignore[attr-defined]
        with timezone.override(zoneinfo.ZoneInfo(shop.time_zone)), using_shop(shop):
            return self.get_response(request)
