"""For mutants: the same examples each time, and none made smaller, since only that one fails is asked."""

from hypothesis import Phase, settings


def pytest_sessionstart() -> None:
    """After the tests' own profile is loaded, before any test is."""
    phases = (Phase.explicit, Phase.generate)
    settings.register_profile("mutants", derandomize=True, deadline=None, database=None, phases=phases)
    settings.load_profile("mutants")
