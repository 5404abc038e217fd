"""What the server of processes to be killed has loaded: importing this module loads it."""

# ruff: noqa: F401 - to be loaded is what these imports are for

from __future__ import annotations

import tests.faults.jobs
import trainer.application.estimates.calling
import trainer.application.estimates.kept
import trainer.application.files.table_import
import trainer.application.files.watching
import trainer.application.session.recording
import trainer.application.session.replanning
import trainer.application.squad.coach
import trainer.cli.commands.files
import trainer.cli.commands.squad
import trainer.cli.commands.watching
import trainer.store.keeping
import trainer.store.store
