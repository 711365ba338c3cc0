"""The folder on disk: the tester's book, its tables, rigs, hashes and what was computed from them."""
