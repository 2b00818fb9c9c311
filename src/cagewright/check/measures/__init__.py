"""The measures that rule books speak of, each a pure function of the cage."""
