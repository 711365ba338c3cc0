"""The air, the room and the way the propeller is mounted."""
