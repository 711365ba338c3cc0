"""Numbers only: numpy in, numpy out, SI, float64; one topic a file."""
