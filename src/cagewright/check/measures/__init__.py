"""The measures of the rule books, each a pure function of the cage."""
