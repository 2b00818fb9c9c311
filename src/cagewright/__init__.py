"""From one plain-text plan to a welded roll cage that fits: the whole job of a cage fabricator."""

__version__ = "0.1.0"
