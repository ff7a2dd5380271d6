"""How random cars are drawn: without a deadline, and the same ones every time on a build machine."""

import os

from hypothesis import settings

settings.register_profile("by hand", deadline=None)
settings.register_profile("build machine", deadline=None, derandomize=True)
settings.load_profile("build machine" if os.environ.get("CI") else "by hand")
