"""One thin file for each thing that a tester does; only here are the boxes below combined."""
