"""What a page is made of by several apps: each adds its pieces when it starts, and nobody imports the others."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from typing import Generic, Protocol, TypeVar


class Placed(Protocol):
    """Something with a place among others."""

    @property
    def position(self) -> int:
        """Where it stands; what is smaller stands first."""


T = TypeVar("T", bound=Placed)
F = TypeVar("F", bound=Callable[..., object])


class Registry(Generic[T]):
    """Pieces by their key, in the order of their positions; a piece that is added again replaces itself."""

    def __init__(self, key: Callable[[T], Hashable]) -> None:
        self._key = key
        self._pieces: dict[Hashable, T] = {}

    def register(self, piece: T) -> None:
        """Add a piece; called from an app's ``ready``."""
        self._pieces[self._key(piece)] = piece

    def in_order(self) -> list[T]:
        """All pieces; those of one position in the order in which they were added."""
        return sorted(self._pieces.values(), key=lambda piece: piece.position)


class Providers(Generic[F]):
    """Functions of several apps that are asked one after the other, each once however often it was registered."""

    def __init__(self) -> None:
        self._functions: list[F] = []

    def register(self, function: F) -> None:
        """Have it asked after those before it; called from an app's ``ready``."""
        if function not in self._functions:
            self._functions.append(function)

    def __iter__(self) -> Iterator[F]:
        return iter(self._functions)
