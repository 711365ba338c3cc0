"""What any channel may do, whatever it reads: stand still, run out of range, jump."""
