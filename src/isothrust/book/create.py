"""An empty book, with what to write where explained inside it."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from isothrust.book.campaigns import CAMPAIGNS, EXAMPLE_RIG, RIGS
from isothrust.book.designs import MOTORS, PROPELLERS, SAMPLES
from isothrust.book.quoting import quoted
from isothrust.book.settings import BOOK_FILE
from isothrust.errors import BookError, Where
from isothrust.tables.atomic import write_text

__all__ = ["PROPELLER_HEADS", "RUN_HEADS", "create_book", "refuse_used_folder"]

PROPELLER_HEADS: Final = "design,maker,diameter [in],pitch [in],blades,mass [g],max speed [rpm],note\n"
SAMPLE_HEADS: Final = "design,sample,mass [g],note\n"
MOTOR_HEADS: Final = (
    "motor,kv [rpm/V],resistance [ohm],no-load current [A],pole pairs,rotor inertia [kg m2],max current [A]\n"
)
RUN_HEADS: Final = (
    "run,design,sample,mounting,kind,log,vibration,sound,date,temperature [degC],pressure [hPa],humidity [%],note\n"
)

_BOOK: Final = """\
# The book of a propeller bench: settings that hold for all of it.
#
# Everything in this folder is plain text that you may edit; save it as UTF-8.
#   propellers.csv   one row a design; the unit stands in square brackets behind a head's name, and may be changed there
#   samples.csv      one row a sample, where you weigh or mark them (may stay empty)
#   motors.csv       one row a motor (may stay empty)
#   rigs/            one file a rig, as of a date: copy example.toml and change it to what your logs look like
#   campaigns/       one folder a campaign; made by  isothrust add FOLDER --campaign NAME --rig RIG
#   derived/         all that is computed; it may be deleted at any time
#
# What to do next:
#   1. add your propellers to propellers.csv
#   2. describe your stand in rigs/<name>.toml
#   3. isothrust add FOLDER --campaign NAME --rig RIG
#   4. fill what `add` could not know in campaigns/NAME/runs.csv, then: isothrust reduce

title = {title}
owner = ""

# Thrust, torque and shaft power are given for air of this density.
standard_density = "1.225 kg/m3"

# Where propellers are compared when nothing else is asked for.
comparison_thrusts = ["250 gf", "500 gf", "1000 gf"]
comparison_speeds = ["14000 rpm"]

# Propellers are compared within bands of nominal diameter. These are the edges of the usual ones; take the mark away
# to change them.
# class_edges = ["1.75 in", "2.25 in", "2.75 in", "3.3 in", "3.75 in", "4.5 in", "5.3 in", "6.3 in", "7.3 in", "8.5 in",
#                "9.5 in", "10.5 in", "11.5 in", "12.5 in"]

# Air of runs for which neither their own row nor their campaign says anything: a value, and the standard uncertainty
# of not having looked. Pressure is the one at the stand: forecasts are reduced to sea level, about 12 hPa per 100 m too
# high. Without these lines such runs have no density, and no coefficients.
[air]
# temperature = ["20 degC", "5 K"]
# pressure = ["1000 hPa", "15 hPa"]
# humidity = ["50 %", "20 %"]
"""

_RIG: Final = """\
# An example of a rig file. Copy it, name it after your stand and the date, and change it to what your logs look like:
# a campaign then says  rig = "NAME".  A channel that you do not have is left out, and what needs it is then absent.
# After a new calibration, or another controller setting, start a new file.

name = "Example stand, spring"
# motor = "m1"                           # a row of motors.csv
layout = "pusher"                        # or "tractor"
# clearance = "0.6 m"                    # nearest wall or floor ahead of or behind the disc
# obstruction = "12 cm2"                 # area of the stand in the slipstream

# [air]                                  # standard uncertainties of the readings in runs.csv, from your instruments
# temperature = "0.5 K"
# pressure = "1 hPa"
# humidity = "5 %"

# [supply]
# voltage = "24 V"
# current_limit = "60 A"
# sinks_current = false                  # true: it takes back what a slowing motor returns

# [controller]                           # any words; a change of any of these starts a new rig file
# model = "-"
# settings = "timing, switching rate, braking, firmware"

[channels.time]
column = "time"                          # a head's text, or its position from 1
unit = "s"                               # or, where the log has no time column:  rate = "1 kHz"

[channels.throttle]
column = "throttle"
unit = "us"
range = [1000, 2000]                     # what 0 and 100 % are in that unit

[channels.speed]
column = "speed"
unit = "rpm"
# pole_pairs = 7                         # only where the column is electrical speed

[channels.thrust]
column = "thrust"
unit = "gf"                              # raw counts:  unit = "count"  and  scale = "0.4833 gf/count"
# sign = -1                              # where pushing reads negative
# ratio = 2.706                          # a lever between propeller and cell
# uncertainty = ["0.3 %", "1 gf"]        # standard uncertainty: in proportion, and fixed

[channels.torque]
column = "torque"
unit = "N m"                             # or two cells:  columns = { left = "21 mm", right = "-21 mm" }  in  "gf"
# uncertainty = "0.6 %"

[channels.voltage]
column = "voltage"
unit = "V"

[channels.current]
column = "current"
unit = "A"

# [channels.acceleration]
# file = "vibration"                     # the column of runs.csv that names its file
# columns = ["ax", "ay", "az"]
# unit = "m/s2"

# [channels.sound]
# file = "sound"
# sensitivity = "12.5 mV/Pa"             # left out: levels are relative to a run that you name
# full_scale = "1.0 V"                   # what digital full scale means
# distance = "1 m"
"""


def create_book(root: str | Path, *, title: str = "") -> tuple[str, ...]:
    """Make an empty book in a new or empty folder; return the files written, relative to it.

    Without a title it has the name of its folder.

    Raises BookError `folder-not-empty`, or `not-a-folder`.
    """
    folder = Path(root)
    refuse_used_folder(folder)
    for part in (RIGS, CAMPAIGNS):
        (folder / part).mkdir(parents=True, exist_ok=True)
    texts = {
        PROPELLERS: PROPELLER_HEADS,
        SAMPLES: SAMPLE_HEADS,
        MOTORS: MOTOR_HEADS,
        EXAMPLE_RIG: _RIG,
        # The file that makes the folder a book comes last: a killed `new` leaves no half of one.
        BOOK_FILE: _BOOK.replace("{title}", quoted(title or folder.resolve().name)),
    }
    for name, text in texts.items():
        write_text(folder / name, text)
    return tuple(texts)


def refuse_used_folder(folder: Path) -> None:
    """Raise where no book can be made: BookError `folder-not-empty`, or `not-a-folder`."""
    if folder.exists() and not folder.is_dir():
        raise BookError(
            f"{folder} is a file",
            code="not-a-folder",
            where=Where(str(folder)),
            expected="a folder that is empty, or a name that is free",
            fix="choose another name",
        )
    if folder.is_dir() and any(folder.iterdir()):
        raise BookError(
            f"{folder} is not empty, and nothing in it was touched",
            code="folder-not-empty",
            where=Where(str(folder)),
            expected="a folder that is empty, or a name that is free",
            fix="choose another name",
        )
