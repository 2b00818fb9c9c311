"""Changes to a plan, each told the same way wherever it is asked for."""
