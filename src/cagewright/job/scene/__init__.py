"""The cage as a page draws it, and what a change of the plan changes in the picture."""
