"""Where the store is: an explicit path, else the environment, else the platform's data folder."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

import platformdirs

ENVIRONMENT_KEY = "TRAINER_STORE"
DATABASE_NAME = "trainer.db"
DATA_FOLDER_NAME = "wind-day-trainer"


def store_path(explicit: str | Path | None, environ: Mapping[str, str]) -> Path:
    """The absolute path of the database file; nothing on disk is made or changed.

    `explicit` wins over `environ["TRAINER_STORE"]`, and that over the platform's data folder; an empty text counts as
    not given. The value names the file; an existing folder, or a path that ends in a separator, means `trainer.db`
    inside it.
    """
    given = str(explicit or environ.get(ENVIRONMENT_KEY) or "")
    if not given:
        return platformdirs.user_data_path(DATA_FOLDER_NAME, appauthor=False) / DATABASE_NAME
    path = Path(given).expanduser().absolute()
    names_folder = given.endswith(os.sep) or (os.altsep is not None and given.endswith(os.altsep))
    return path / DATABASE_NAME if names_folder or _is_folder(path) else path


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # we may not look there: opening the store will say so
        return False
