"""A time-stamp service (RFC 3161) and a certificate authority with its revocation list (RFC 5280), on this machine.

The answers are made by pyHanko's own authority for tests; everything goes over HTTP as it does with a real one.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from asn1crypto import keys, tsp
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from pyhanko.sign.timestamps import DummyTimeStamper

PASSWORD = "of-the-test"


@dataclass
class Service:
    """Where the service answers, by whom it is trusted, and a certificate that the same authority gave to a shop."""

    url: str
    root: Path
    p12: Path
    asked: list[str]


def _name(common: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common)])


class Authority:
    """Issues certificates, says which are revoked (none), and stamps times."""

    def __init__(self, port: int) -> None:
        self.key = ec.generate_private_key(ec.SECP256R1())
        self.list_at = f"http://127.0.0.1:{port}/revoked.crl"
        self.now = datetime.now(UTC)
        self.root = self._issue(_name("Invented root"), self.key.public_key(), is_authority=True)

    def _issue(self, subject: x509.Name, key, *, is_authority: bool = False, stamps: bool = False) -> x509.Certificate:
        made = (
            x509.CertificateBuilder()
            .subject_name(subject)
            .issuer_name(_name("Invented root"))
            .public_key(key)
            .serial_number(x509.random_serial_number())
            .not_valid_before(self.now - timedelta(days=1))
            .not_valid_after(self.now + timedelta(days=30))
            .add_extension(x509.BasicConstraints(ca=is_authority, path_length=None), critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
            .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(self.key.public_key()), critical=False)
            .add_extension(
                x509.KeyUsage(
                    digital_signature=not is_authority,
                    content_commitment=not is_authority and not stamps,
                    key_encipherment=False,
                    data_encipherment=False,
                    key_agreement=False,
                    key_cert_sign=is_authority,
                    crl_sign=is_authority,
                    encipher_only=False,
                    decipher_only=False,
                ),
                critical=True,
            )
        )
        if stamps:
            made = made.add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING]), critical=True)
        if not is_authority:
            place = x509.DistributionPoint([x509.UniformResourceIdentifier(self.list_at)], None, None, None)
            made = made.add_extension(x509.CRLDistributionPoints([place]), critical=False)
        return made.sign(self.key, hashes.SHA256())

    def revoked(self) -> bytes:
        """The list of revoked certificates: empty, and fresh."""
        made = x509.CertificateRevocationListBuilder().issuer_name(_name("Invented root"))
        made = made.last_update(self.now - timedelta(minutes=5)).next_update(self.now + timedelta(days=7))
        made = made.add_extension(x509.CRLNumber(1), critical=False)
        made = made.add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(self.key.public_key()), critical=False
        )
        return made.sign(self.key, hashes.SHA256()).public_bytes(serialization.Encoding.DER)

    def stamper(self) -> DummyTimeStamper:
        """Who answers for times."""
        key = rsa.generate_private_key(public_exponent=65537, key_size=2048)
        made = self._issue(_name("Invented time stamps"), key.public_key(), stamps=True)
        der = serialization.Encoding.DER
        plain = key.private_bytes(der, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
        return DummyTimeStamper(
            tsa_cert=asn1_x509.Certificate.load(made.public_bytes(der)), tsa_key=keys.PrivateKeyInfo.load(plain)
        )

    def shop(self) -> bytes:
        """A certificate for a shop, with its key and its root, as PKCS#12."""
        key = ec.generate_private_key(ec.SECP256R1())
        made = self._issue(_name("Invented shop"), key.public_key())
        protected = BestAvailableEncryption(PASSWORD.encode())
        return pkcs12.serialize_key_and_certificates(b"shop", key, made, [self.root], protected)


@contextmanager
def stamping_service(folder: Path) -> Iterator[Service]:
    """The service while the block runs. ``POST /broken`` answers nothing of use."""
    asked: list[str] = []

    class Answering(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            asked.append(self.path)
            data = self.rfile.read(int(self.headers["Content-Length"]))
            if self.path == "/broken":
                self.send_error(503)
                return
            answer = stamper.request_tsa_response(tsp.TimeStampReq.load(data))
            self._give(answer.dump(), "application/timestamp-reply")

        def do_GET(self) -> None:
            asked.append(self.path)
            self._give(authority.revoked(), "application/pkix-crl")

        def _give(self, data: bytes, kind: str) -> None:
            self.send_response(200)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(data)))
            self.end_headers()
            self.wfile.write(data)

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Answering)
    authority = Authority(server.server_port)
    stamper = authority.stamper()
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        root, p12 = folder / "root.pem", folder / "of-the-authority.p12"
        root.write_bytes(authority.root.public_bytes(serialization.Encoding.PEM))
        p12.write_bytes(authority.shop())
        yield Service(f"http://127.0.0.1:{server.server_port}/stamp", root, p12, asked)
    finally:
        server.shutdown()
        thread.join(timeout=10)
        server.server_close()
