"""What all tests share: helper modules in tests/checkers, how many examples hypothesis tries, what waits for soak.

HEADRACE_SOAK=1 runs the tests marked soak and 2000 examples of each hypothesis test; a number above 1 is that many.
"""

import os
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))

SOAK = int(os.environ.get("HEADRACE_SOAK", "0"))
SOAK_COUNT = SOAK if SOAK > 1 else 2000

settings.register_profile("quick", max_examples=40, deadline=None, derandomize=True)
settings.register_profile("soak", max_examples=SOAK_COUNT, deadline=None)
settings.load_profile("soak" if SOAK else "quick")


def pytest_collection_modifyitems(items):
    if not SOAK:
        for item in items:
            if item.get_closest_marker("soak"):
                item.add_marker(pytest.mark.skip(reason="a full count: set HEADRACE_SOAK=1"))


@pytest.fixture
def soak_done():
    """`with soak_done(name) as done`: done is True when an earlier run of this commit finished that piece; a piece that
    passes is kept in .soak, so that a run that was stopped goes on where it stood."""

    @contextmanager
    def piece(name):
        mark = Path(__file__).parents[1] / ".soak" / name
        done = mark.exists()
        yield done
        mark.parent.mkdir(exist_ok=True)
        mark.touch()

    return piece
