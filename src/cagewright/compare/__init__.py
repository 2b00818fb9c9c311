"""Alternatives side by side: the plan with stated changes, pushed, and what each change is worth."""
