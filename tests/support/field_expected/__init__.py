"""What each file of ../shared/field must read as, or why it is refused; worked out without isothrust.

Numbers come from the LOG.md beside the recordings, or from the files themselves with nothing but csv, zipfile, wave,
hashlib and scipy.io. They stand in the log's own unit, so that units rightly applied are part of what is tested.
"""

from support.field_expected.forms import Expected, Parts, Reads, Refused, Series, Table
from support.field_expected.register import EXPECTED, FLAC, OPEN

__all__ = ["EXPECTED", "FLAC", "OPEN", "Expected", "Parts", "Reads", "Refused", "Series", "Table"]
