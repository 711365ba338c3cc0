"""One small file a check.

A check of a channel says what is odd about it and leaves out what must not be averaged; a check of a run (`catalogue`)
looks at all that was fitted and changes nothing.
"""
