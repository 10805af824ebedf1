"""A passkey in software: what a device would make and sign, built from the standard's parts."""

from __future__ import annotations

import json
import secrets
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from fido2.cose import ES256
from fido2.utils import websafe_encode
from fido2.webauthn import AttestationObject, AttestedCredentialData, AuthenticatorData

PRESENT, VERIFIED, ATTESTED = 0x01, 0x04, 0x40


@dataclass
class SoftKey:
    """One device, at one origin."""

    origin: str
    host: str
    id: bytes = field(default_factory=lambda: secrets.token_bytes(32))
    key: ec.EllipticCurvePrivateKey = field(default_factory=lambda: ec.generate_private_key(ec.SECP256R1()))

    def made(self, options: dict[str, Any]) -> str:
        """What it answers when a passkey is to be made."""
        credential = AttestedCredentialData.create(
            b"\0" * 16, self.id, ES256.from_cryptography_key(self.key.public_key())
        )
        data = AuthenticatorData.create(
            sha256(self.host.encode()).digest(), PRESENT | VERIFIED | ATTESTED, 0, bytes(credential)
        )
        attestation = AttestationObject.create("none", data, {})
        return self._told(
            {
                "attestationObject": websafe_encode(bytes(attestation)),
                "clientDataJSON": websafe_encode(self._client_data("webauthn.create", options)),
                "transports": ["internal"],
            }
        )

    def used(self, options: dict[str, Any], *, whose: bytes | None = None, verified: bool = True) -> str:
        """What it answers when it is to be shown: with whose it is, where it keeps that."""
        flags = PRESENT | VERIFIED if verified else PRESENT
        data = bytes(AuthenticatorData.create(sha256(self.host.encode()).digest(), flags, 1))
        client = self._client_data("webauthn.get", options)
        signature = self.key.sign(data + sha256(client).digest(), ec.ECDSA(SHA256()))
        return self._told(
            {
                "authenticatorData": websafe_encode(data),
                "clientDataJSON": websafe_encode(client),
                "signature": websafe_encode(signature),
                "userHandle": websafe_encode(whose) if whose else None,
            }
        )

    def _client_data(self, kind: str, options: dict[str, Any]) -> bytes:
        challenge = options["publicKey"]["challenge"]
        return json.dumps({"type": kind, "challenge": challenge, "origin": self.origin, "crossOrigin": False}).encode()

    def _told(self, response: dict[str, Any]) -> str:
        name = websafe_encode(self.id)
        told = {"id": name, "rawId": name, "type": "public-key", "response": response}
        return json.dumps(told | {"clientExtensionResults": {}, "authenticatorAttachment": "platform"})
