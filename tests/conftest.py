"""What every test runs under."""

from __future__ import annotations

from hypothesis import settings

# How long an example takes hangs on what else the machine does: it is no property of the code.
settings.register_profile("untimed", deadline=None)
# Many builds, other ones each time: `--hypothesis-profile=long`, with the long checks.
# ``max_examples`` is how many times the few of the default run, for tests that set their own.
settings.register_profile("long", deadline=None, max_examples=25, print_blob=True)
settings.load_profile("untimed")
