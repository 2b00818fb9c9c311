"""The ground: units, vectors, curves and located problems. Imports nothing else of the project."""
