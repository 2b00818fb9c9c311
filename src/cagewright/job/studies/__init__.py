"""The alternatives beside a plan: what each file says, made from what is selected, and their cages."""
