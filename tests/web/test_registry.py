"""Pieces that several apps add to one page."""

from __future__ import annotations

from dataclasses import dataclass

from web.registry import Registry


@dataclass(frozen=True)
class Piece:
    name: str
    position: int
    words: str = ""


def test_pieces_stand_in_order_and_replace_themselves():
    pieces: Registry[Piece] = Registry(lambda piece: piece.name)
    for piece in (Piece("log", 90), Piece("jobs", 50), Piece("readings", 50), Piece("log", 10, "again")):
        pieces.register(piece)
    assert [piece.name for piece in pieces.in_order()] == ["log", "jobs", "readings"]
    assert pieces.in_order()[0].words == "again"


def test_a_registry_is_nobody_elses():
    one: Registry[Piece] = Registry(lambda piece: piece.name)
    other: Registry[Piece] = Registry(lambda piece: piece.name)
    one.register(Piece("log", 1))
    assert other.in_order() == []
