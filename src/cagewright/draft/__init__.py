"""From tape readings and a rule book's limits to a first plan; and a plan brought close to its body."""
