"""What no propeller and no motor can do."""
