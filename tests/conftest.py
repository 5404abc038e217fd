"""Settings for every test."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator

import pytest
from hypothesis import settings

from tests.examples import NEW, examples
from trainer.application.estimates import learning

# The examples are the same in every run, so that what is red was made red; TRAINER_NEW_EXAMPLES=1 draws others, more.
settings.register_profile("same", derandomize=True, deadline=None, max_examples=examples(100))
settings.register_profile("new", deadline=None)
settings.load_profile("new" if NEW else "same")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell that runs the tests behind has Ctrl-C ignored, and the programs that the tests start would inherit it.
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """Two workers a core: screens and started programs wait about as long as they work."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return 2 * cores


@pytest.fixture(scope="session")
def more_in_memory() -> Iterator[None]:
    """A posterior depends on its key alone: what many tests ask for is fitted once by each worker."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(learning, "MOST_IN_MEMORY", 32)
        yield
