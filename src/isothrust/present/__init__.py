"""Tables for people, JSON for programs, sentences and shown units."""
