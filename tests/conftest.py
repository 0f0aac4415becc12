"""Settings for the whole test suite: a slow machine is not a failed property."""

from hypothesis import settings

settings.register_profile("no deadline", deadline=None)
settings.load_profile("no deadline")
