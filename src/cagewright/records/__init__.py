"""The shop's record: jobs, plans, readings, ticks, sign-offs, stock and offcuts; nothing overwritten."""
