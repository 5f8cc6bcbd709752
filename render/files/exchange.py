"""What the system is asked for so that no moment loses a file: locks, syncs, and one swap.

Each of them is more than a plain rename, and none is there on every system; where one is missing
the caller goes on without it.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
# A file system that cannot swap, or a kernel that does not know the call, says one of these.
_CANNOT = frozenset({errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP})


def exchange(first: Path, second: Path) -> bool:
    """Swap two names in one step (Linux ``renameat2``); False where the system cannot.

    Raises:
        OSError: it can, and refuses these two.
    """
    if sys.platform != "linux":
        return False
    import ctypes

    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    names = os.fsencode(first), os.fsencode(second)
    if call(_AT_FDCWD, names[0], _AT_FDCWD, names[1], _RENAME_EXCHANGE) == 0:
        return True
    error = ctypes.get_errno()
    if error in _CANNOT:
        return False
    raise OSError(error, os.strerror(error), str(second))


def sync_folder(folder: Path) -> None:
    """See to it that the names in a folder outlast a power cut, where a folder can be synced."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _CANNOT:
            raise
    finally:
        os.close(handle)


@contextmanager
def claimed(path: Path) -> Iterator[None]:
    """Hold a folder, so that other runs know it is in use; the system frees it at a kill."""
    handle = _locked(path, wait=True)
    try:
        yield
    finally:
        if handle is not None:
            os.close(handle)


def is_claimed(path: Path) -> bool:
    """Whether a run that is still alive holds it; also True if that cannot be determined."""
    try:
        handle = _locked(path, wait=False)
    except OSError:
        return True
    if handle is None:
        return True
    os.close(handle)
    return False


def _locked(path: Path, wait: bool) -> int | None:
    """A handle with a lock; None if the system has no such locks."""
    try:
        import fcntl
    except ImportError:
        return None
    handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError as error:
        os.close(handle)
        if wait and error.errno in {*_CANNOT, errno.ENOLCK}:
            return None
        raise
    return handle
