"""The key that papers are signed with, kept loaded; with the library that signs, which a start does not wait for."""

from __future__ import annotations

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import padding, rsa
from pyhanko.sign import signers


class KeptKeySigner(signers.SimpleSigner):  # type: ignore[misc]
    """Signs with a key that stays loaded. Loading one checks its primes, which takes longer than all the rest."""

    kept_key: object = None

    def sign_raw(self, data: bytes, digest_algorithm: str) -> bytes:
        """The raw signature; PKCS #1 v1.5 with SHA-256 for an RSA key, as the signer says by default."""
        if isinstance(self.kept_key, rsa.RSAPrivateKey) and digest_algorithm == "sha256":
            return self.kept_key.sign(data, padding.PKCS1v15(), hashes.SHA256())
        raw: bytes = super().sign_raw(data, digest_algorithm)
        return raw
