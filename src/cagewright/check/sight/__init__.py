"""What the driver sees past the tubes."""
