"""A process that does not outlive the one that started it."""

from __future__ import annotations

import ctypes
import signal
from contextlib import suppress

PR_SET_PDEATHSIG = 1


def die_with_parent() -> None:
    """Have the kernel end this process when its parent dies (Linux; elsewhere whoever watches over it does)."""
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGKILL)
