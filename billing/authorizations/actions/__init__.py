"""What is done with authorizations and with deferred work."""

from billing.authorizations.actions.agreeing import note_authorization, withdraw_authorization
from billing.authorizations.actions.deferring import drop_deferred, reopen_deferred, take_up_deferred
from billing.authorizations.actions.going_on import go_on
from billing.authorizations.actions.ruling import change_authorization_rules
from billing.authorizations.actions.stopping import keep_stopped_charge, let_stopped_go

__all__ = [
    "change_authorization_rules",
    "drop_deferred",
    "go_on",
    "keep_stopped_charge",
    "let_stopped_go",
    "note_authorization",
    "reopen_deferred",
    "take_up_deferred",
    "withdraw_authorization",
]
