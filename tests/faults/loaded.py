"""What the server of processes to be killed has loaded: importing this module loads it."""

# ruff: noqa: F401 - to be loaded is what these imports are for

from __future__ import annotations

import tests.faults.jobs
import trainer.application.calling
import trainer.application.kept
import trainer.application.replanning
import trainer.application.session
import trainer.application.squad
import trainer.application.table_import
import trainer.application.watching
import trainer.cli.files
import trainer.cli.squad
import trainer.cli.watching
import trainer.store.keeping
import trainer.store.store
