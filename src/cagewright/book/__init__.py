"""The build book and shop papers as PDF."""
