"""One small file a check: each takes a channel, says what is odd about it, and leaves out what must not be averaged."""
