"""Steps of a run: where they are, how the rotor answered them, what follows from it."""
