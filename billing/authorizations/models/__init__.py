"""What a customer authorized and declined, and the shop's own rules."""

from billing.authorizations.models.agreed import (
    ANY_WAY,
    IN_WRITING,
    MOST,
    NEVER,
    NOTHING,
    OPEN_SUM,
    AnsweredPiece,
    Authorization,
    AuthorizationRules,
    GoingOn,
)
from billing.authorizations.models.deferred import DeferredStep, DeferredWork
from billing.authorizations.models.papers import AuthorizationPaper
from billing.authorizations.models.stopped import LetGo, StoppedCharge

__all__ = [
    "ANY_WAY",
    "IN_WRITING",
    "MOST",
    "NEVER",
    "NOTHING",
    "OPEN_SUM",
    "AnsweredPiece",
    "Authorization",
    "AuthorizationPaper",
    "AuthorizationRules",
    "DeferredStep",
    "DeferredWork",
    "GoingOn",
    "LetGo",
    "StoppedCharge",
]
