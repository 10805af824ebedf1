"""Forms of authorizations and of deferred work."""

from billing.authorizations.forms.agreeing import AuthorizationForm, GoOnForm, HowForm, LetGoForm, WithdrawForm
from billing.authorizations.forms.answering import AnswerForm
from billing.authorizations.forms.deferring import DeferredFilterForm, WhyForm
from billing.authorizations.forms.ruling import RulesForm

__all__ = [
    "AnswerForm",
    "AuthorizationForm",
    "DeferredFilterForm",
    "GoOnForm",
    "HowForm",
    "LetGoForm",
    "RulesForm",
    "WhyForm",
    "WithdrawForm",
]
