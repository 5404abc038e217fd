"""Settings for every test."""

from __future__ import annotations

import os
import signal

from hypothesis import settings

# In CI the examples are the same in every run and a busy machine is no failure; elsewhere they are drawn anew.
settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("own", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "own")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell that runs the tests behind has Ctrl-C ignored, and the programs that the tests start would inherit it.
    signal.signal(signal.SIGINT, signal.default_int_handler)
