"""Supply, voltage and current: what makes an electrical figure wrong."""
