"""Rule books as data, the measures they ask for, and the findings."""
