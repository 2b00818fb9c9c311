"""Changes to a plan in one vocabulary (``plan.changes``), from a page as from an alternatives file."""
