"""What the shop keeps: the log of entries, people and their devices, photos."""
