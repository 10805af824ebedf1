"""The page of the shop's own rules."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from billing.authorizations.actions import change_authorization_rules
from billing.authorizations.actions.ruling import RULES
from billing.authorizations.examples import EXAMPLES
from billing.authorizations.forms import RulesForm
from billing.authorizations.models import ANY_WAY
from billing.authorizations.queries import rules
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import Submission


@permission_required(Permission.MANAGE_SHOP)
def rules_page(request: HttpRequest) -> HttpResponse:
    """What the shop allows on top of an authorized sum, with what the law of a place asks for as an example."""
    own = rules()
    shop = request.shop  # type: ignore[attr-defined]
    form = RulesForm(request.POST if request.method == "POST" else None, record=own, shop=shop)
    sending = Submission(request, form, record=own)

    def act() -> None:
        change_authorization_rules(
            by=signed_in(request),
            rules=own,
            seen_version=form.cleaned_data["seen_version"] or 0,
            changes=form.told(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "The rules are saved.")
        return redirect("authorizations:rules")
    return sending.page(
        "billing/authorizations/rules.html",
        examples=EXAMPLES,
        chosen_rules=[
            name for name in RULES if name != "citation" and getattr(own, name) not in {None, False, ANY_WAY}
        ],
    )
