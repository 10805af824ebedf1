"""The operating-system account that the embedded PostgreSQL runs under: never root."""

from __future__ import annotations

import os
import pwd
import shutil
import stat
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TypedDict

NAME = "garboard"


class SubprocessUser(TypedDict, total=False):
    """The arguments of ``subprocess.run`` that change the account."""

    user: int
    group: int
    extra_groups: list[int]


@dataclass(frozen=True)
class Account:
    """An account by its numbers. ``is_other`` when this process has to change to it."""

    uid: int
    gid: int
    is_other: bool

    def own(self, path: Path) -> None:
        """Hand a path to the account."""
        if self.is_other:
            os.chown(path, self.uid, self.gid)

    def as_subprocess_user(self) -> SubprocessUser:
        """What to give to ``subprocess.run`` to run as this account."""
        if not self.is_other:
            return {}
        return {"user": self.uid, "group": self.gid, "extra_groups": []}


def server_account(data: Path) -> Account:
    """The account for the cluster in ``data``: this user, or, for root, the folder's owner or one made for it."""
    if os.geteuid() != 0:
        return Account(os.geteuid(), os.getegid(), is_other=False)
    if data.exists() and data.stat().st_uid != 0:
        state = data.stat()
        return Account(state.st_uid, state.st_gid, is_other=True)
    try:
        entry = pwd.getpwnam(NAME)
    except KeyError:
        useradd = shutil.which("useradd", path="/usr/sbin:/sbin:/usr/bin:/bin")
        if useradd is None:
            raise RuntimeError(
                f"PostgreSQL does not run as root, and there is no useradd to make an account for it. "
                f"Make a user named {NAME}, or start as another user than root."
            ) from None
        subprocess.run(  # noqa: S603  fixed program and arguments
            [useradd, "--system", "--user-group", "--no-create-home", "--home-dir", "/nonexistent", NAME],
            check=False,
            capture_output=True,
        )
        entry = pwd.getpwnam(NAME)
    return Account(entry.pw_uid, entry.pw_gid, is_other=True)


def let_through(path: Path, account: Account) -> None:
    """Let the account pass through the folders down to ``path``, and say so where a folder was closed."""
    if not account.is_other:
        return
    for folder in [path, *path.parents]:
        mode = folder.stat().st_mode
        if not mode & stat.S_IXOTH:
            folder.chmod(mode | stat.S_IXOTH)
            print(f"Let the database's account pass through {folder} (chmod o+x).", file=sys.stderr, flush=True)
