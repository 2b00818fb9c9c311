"""Puts tests/ on the import path, so that every test folder can use the cage made by hand."""
