"""Where a torch can stand, joint by joint and step by step."""
