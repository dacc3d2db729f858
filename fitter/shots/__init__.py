"""What the player hit: reading, checking and describing shots."""
