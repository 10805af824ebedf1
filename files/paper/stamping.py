"""Time stamps by a third party (RFC 3161), and the proofs that a PDF keeps with them: PAdES B-LTA."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import certifi
from django.conf import settings
from pyhanko.keys import load_certs_from_pemder
from pyhanko.sign import signers
from pyhanko.sign.general import SigningError
from pyhanko.sign.timestamps import HTTPTimeStamper, TimestampRequestError
from pyhanko_certvalidator import ValidationContext
from pyhanko_certvalidator.errors import PathBuildingError, ValidationError

from commands.refusals import Refused

ANSWER_SECONDS = 20


class StampMissing(Refused):
    """No time stamp was given; the sentence says what to do."""


@dataclass(frozen=True)
class TimeStamps:
    """A time-stamp service, and whom a signer and the service are proven by."""

    url: str
    signer: signers.SimpleSigner

    @classmethod
    def as_set(cls, signer: signers.SimpleSigner) -> TimeStamps | None:
        """The service that the settings name; None where there is none."""
        return cls(settings.TIMESTAMP_URL, signer) if settings.TIMESTAMP_URL else None

    def service(self) -> HTTPTimeStamper:
        """Asks the service; a fresh one for every signing, as it remembers an answer."""
        return HTTPTimeStamper(self.url, timeout=ANSWER_SECONDS)

    def metadata(self) -> dict[str, Any]:
        """What a signature has to be told to keep its proofs and to be stamped as a whole."""
        own = [cert for cert in [self.signer.signing_cert, *self.signer.cert_registry] if cert.self_issued]
        context = ValidationContext(
            trust_roots=[*_trusted(settings.TIMESTAMP_CA), *own],
            other_certs=list(self.signer.cert_registry),
            allow_fetching=True,
            revocation_mode="hard-fail",
        )
        return {"embed_validation_info": True, "validation_context": context, "use_pades_lta": True}

    @contextmanager
    def said_plainly(self) -> Iterator[None]:
        """What goes wrong with service or proofs, as a sentence; nothing is signed then."""
        try:
            yield
        except (TimestampRequestError, TimeoutError) as problem:
            raise StampMissing(
                "The time-stamp service gave no stamp, so the report is not signed yet. Try again in a while. If the "
                "service is gone, change TIMESTAMP_URL, or unset it to sign without time stamps."
            ) from problem
        except (SigningError, PathBuildingError, ValidationError) as problem:
            raise StampMissing(
                "The certificates of the signature or of its time stamp cannot be proven, so the report is not signed. "
                "Put the chain of the signing certificate into its PKCS#12 file, and name the root of the time-stamp "
                "service in TIMESTAMP_CA."
            ) from problem


@lru_cache(maxsize=2)
def _trusted(file: str) -> tuple[Any, ...]:
    """The roots that a time-stamp service is trusted by: those in the file, else those that browsers know."""
    return tuple(load_certs_from_pemder([file or certifi.where()]))
