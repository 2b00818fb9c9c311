"""How many random cases a property test looks at: all of what it names, or the profile's share of it."""

import math

from hypothesis import settings


def cases(number: int) -> int:
    """That many in a full profile; in a smaller one its share of them, at least one."""
    assert settings.default is not None
    return math.ceil(number * min(1.0, settings.default.max_examples / 100))
