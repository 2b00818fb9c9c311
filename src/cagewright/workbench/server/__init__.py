"""The server: the application, who may talk to it, and how errors are told."""
