"""The page that stands in for any other while there is no connection, and the worker that keeps it in the browser.

Nothing of the shop's records is kept: only this page and what draws it. Browsers allow it over TLS and on the machine
itself, and nowhere else.
"""

from __future__ import annotations

import hashlib
import json

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_safe

_NEEDED = [
    "css/fonts.css", "css/tokens.css", "css/base.css", "css/layout.css", "css/forms.css", "css/components.css",
    "css/findings/drawings.css", "css/print.css", "css/workorders/labor.css", "js/waiting.js",
]  # fmt: skip
_IMPORTED = ["js/clock-queue.js", "js/drafts.js", "js/uuid.js"]
"""What a script of those imports: by its plain name, whatever name its content gives it."""


@login_not_required
@require_safe
def offline(request: HttpRequest) -> HttpResponse:
    """What waits on this device, to be looked at while nothing can be sent. It is the same for everybody."""
    return render(request, "shopfloor/offline.html")


@login_not_required
@require_safe
def service_worker(request: HttpRequest) -> HttpResponse:
    """The worker; its cache is named by what it keeps, so that a new version of the program replaces an old one."""
    kept = [reverse("offline"), *(static(name) for name in _NEEDED)]
    named = [*kept, *(static(name) for name in _IMPORTED)]
    kept += [f"{settings.STATIC_URL}{name}" for name in _IMPORTED]
    name = hashlib.sha256("\n".join(named).encode()).hexdigest()[:12]
    before = f"const CACHE = {json.dumps(f'garboard-{name}')};\nconst KEPT = {json.dumps(kept)};\n"
    text = before + (settings.BASE_DIR / "static/js/service-worker.js").read_text()
    return HttpResponse(text, content_type="text/javascript; charset=utf-8", headers={"Cache-Control": "no-cache"})
