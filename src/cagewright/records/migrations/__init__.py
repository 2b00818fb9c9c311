"""How a record of an older version becomes one of this version, step by step."""
