"""Files for their owner alone, there whole or not at all, never in the place of another."""

from __future__ import annotations

import os
import secrets
from collections.abc import Mapping
from pathlib import Path

from trainer.core.errors import InputError


def require_free(path: Path) -> None:
    """Raise InputError where something stands at `path`: nothing is ever overwritten."""
    if path.exists():
        raise InputError("the file exists and is never overwritten", str(path), "name another")


def write_private(path: Path, text: str) -> None:
    """Write `text` (UTF-8, its line ends as they are) to `path`, which nobody else may read.

    It is written under another name, put on the disk and then given its own. Raises InputError where `path` exists,
    and OSError.
    """
    require_free(path)
    unfinished = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        with os.fdopen(os.open(unfinished, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise


def write_folder(folder: Path, texts: Mapping[str, str]) -> None:
    """Write `texts` by file name into `folder`, made where it is missing; none where one of them exists."""
    for name in texts:
        require_free(folder / name)
    for place in reversed([place for place in (folder, *folder.parents) if not place.exists()]):
        place.mkdir(mode=0o700, exist_ok=True)  # with `parents` those above would be everybody's
    for name, text in texts.items():
        write_private(folder / name, text)
