"""From a recording of sound to levels, tones and character against speed."""

from isothrust.reduction.sounding.reducing import SoundFit, with_sound

__all__ = ["SoundFit", "with_sound"]
