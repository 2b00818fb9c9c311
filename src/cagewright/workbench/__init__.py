"""The whole job on local pages: a server, thin over the composer, and what it shows."""
