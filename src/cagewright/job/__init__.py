"""The only composer: a module for each question a builder asks, and one answer from it."""
