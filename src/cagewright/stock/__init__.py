"""What the shop buys and owns: tubes, steels, benders and stock lengths, each figure with its source."""
