"""What the shop can build: heads and shafts as measured, the assembled club, the rules."""
