"""Puts tests/ on the import path, so that every test folder can use the cage made by hand.

Random cases take as long as they take, and where CI is set they are the same ones every time: what is new is
found at the desk, not by whoever comes next.
"""

import os

from hypothesis import settings

settings.register_profile("desk", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "desk")
