"""What every test runs under."""

from __future__ import annotations

from hypothesis import settings

# How long an example takes hangs on what else the machine does: it is no property of the code.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
