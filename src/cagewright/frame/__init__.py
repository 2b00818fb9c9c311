"""What the cage does under load."""
