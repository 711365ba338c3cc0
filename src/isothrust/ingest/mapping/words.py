"""Words that benches write over their columns, in the languages met at benches, and what each speaks for."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final

__all__ = ["ELECTRICAL", "LEFT", "PARTS", "QUANTITY_WORDS", "RAW", "RIGHT", "SET_VALUES", "UNREAD_WORDS", "words_of"]

_SPLIT: Final = re.compile(r"[^0-9a-zA-Z%]+")
_CAMEL: Final = re.compile(
    r"(?<=[a-z])(?=[A-Z])|(?<=[A-Za-z])(?=[0-9])|(?<=[0-9])(?=[A-Za-z])|(?<=[A-Z])(?=[A-Z][a-z])"
)
_FIELD_SPEED: Final = re.compile(r"(?<![A-Za-z])e[-_ ]?(?=rpm|hz)", re.IGNORECASE)
"""What makes rpm or Hz those of the field: eRPM, e-rpm."""
_LETTERS: Final = str.maketrans({"ø": "o", "ł": "l", "ß": "ss", "µ": "u", "μ": "u", "ω": " omega ", "Ω": " omega "})


def _weights(**by_weight: str) -> Mapping[str, float]:
    levels = {"sure": 4.0, "likely": 3.0, "weak": 1.5}
    return MappingProxyType({word: levels[level] for level, words in by_weight.items() for word in words.split()})


_TRANSLATED: Final[Mapping[str, str]] = MappingProxyType(
    {
        "时间": "time",
        "油门": "throttle",
        "推力": "thrust",
        "拉力": "thrust",
        "转速": "speed",
        "扭矩": "torque",
        "电压": "voltage",
        "电流": "current",
        "功率": "power",
        "温度": "temperature",
        "время": "time",
        "газ": "throttle",
        "тяга": "thrust",
        "обороты": "speed",
        "момент": "torque",
        "напряжение": "voltage",
        "ток": "current",
        "мощность": "power",
    }
)
"""Words in other scripts, which are put into Latin letters first."""


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


def _all(words: str, meaning: str) -> Mapping[str, str]:
    return dict.fromkeys(words.split(), meaning)


QUANTITY_WORDS: Final[Mapping[str, Mapping[str, float]]] = MappingProxyType(
    {
        "time": _weights(
            sure="time timestamp zeit uhrzeit uhr zeitstempel temps tiempo tempo czas tijd tid datetime elapsed millis"
            " micros epoch",
            likely="stamp clock date sec seconds secs datum",
            weak="t",
        ),
        "throttle": _weights(
            sure="throttle thr pwm duty dutycycle dshot gas gaz gashebel acelerador accelerateur",
            likely="command cmd demand stick pulse servo stellwert escsignal",
            weak="esc input signal",
        ),
        "speed": _weights(
            sure="rpm drehzahl rps omega tach tacho tachometer obroty umdrehungen",
            likely="speed velocity vitesse velocidad velocita turns tours giri regime rotation revs revolutions rot",
            weak="angular n hz",
        ),
        "thrust": _weights(
            sure="thrust schub poussee empuje spinta ciag stuwkracht trekkracht",
            likely="lift pull axial fz force kraft kracht fuerza forza weight loadcell",
            weak="load gewicht poids peso scale f",
        ),
        "torque": _weights(
            sure="torque drehmoment coppia couple koppel tq",
            likely="moment momento twist mz",
            weak="m q",
        ),
        "voltage": _weights(
            sure="voltage volt volts spannung vbat vbatt voltaje tensione napiecie spanning ubat ubatt",
            likely="tension bus vin vcc",
            weak="v u battery batt supply akku",
        ),
        "current": _weights(
            sure="current amp amps ampere amperes strom courant corriente corrente prad stroom ibatt ibat",
            likely="curr draw shunt ibus amperage iin",
            weak="i",
        ),
        "electrical-power": _weights(
            sure="power leistung puissance potencia potenza watt watts vermogen moc",
            likely="pel pin",
            weak="p",
        ),
        "acceleration": _weights(
            sure="acceleration accel acc beschleunigung accx accy accz ax ay az vib vibration vibe schwingung",
            likely="vibx viby vibz",
        ),
        "temperature": _weights(sure="temp temperature temperatur temperatura", likely="tair tamb"),
        "pressure": _weights(sure="pressure baro barometer luftdruck pression presion", likely="druck press"),
        "humidity": _weights(sure="humidity feuchte luftfeuchte humidite humedad umidita", likely="hum rh"),
        "mark": _weights(likely="mark hall"),
        "sound": _weights(sure="sound mic microphone mikrofon"),
    }
)
"""Quantity -> word -> how much it speaks for that quantity."""

UNREAD_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        **_all("index idx row sample samples nr no id line record", "a count of rows"),
        **_all("state status mode flag flags error errors detects fault", "a state or a count of faults"),
        **_all("efficiency eff eta gpw effizienz rendement", "worked out from other columns"),
        **_all("delta interval dt period idle window", "a length of time, no clock"),
        **_all("angle position pos encoder angular_position roll pitch yaw", "an angle"),
        **_all("gyro gyr gyrx gyry gyrz", "a rate of turn of the frame"),
        **_all("mah ah capacity charge energy wh soc joule", "charge or energy used"),
        **_all("note notes comment comments remark name family", "words"),
        **_all("phase axis composite ical", "inside the controller"),
        **_all("ct cp cq fm j", "a coefficient"),
        **_all("wind airspeed groundspeed ias tas anemometer", "the speed of the air or of travel"),
        **_all("absorber dummy", "of another machine than the motor under test"),
        **_all("percent remaining amplitude", "a share or an amplitude"),
    }
)
"""Word -> what a column with it is, which no channel holds."""

SET_VALUES: Final = _set("setpoint set target desired sollwert soll reference ref wanted commanded")
"""What was asked for, not what was read."""

RAW: Final = _set("raw adc count counts lsb ticks")
"""Words for a converter's own count."""

ELECTRICAL: Final = _set("field electrical elec elektrisch elektrische electrique electrico drehfeld commutation")
"""Words for the turning of the field, pole pairs times the rotor's."""

PARTS: Final = _set("motor esc fet mosfet battery batt controller winding cell absorber akku regler board cpu")
"""Parts whose temperature is not that of the air, and that are not the place where a figure is wanted."""

LEFT: Final = _set("left links gauche")
RIGHT: Final = _set("right rechts droite")


def words_of(text: str) -> list[str]:
    """Return the words of a head or of a file's name, in small letters without accents.

    Examples
    --------
    >>> words_of("Batt. Volts"), words_of("IMU[0].AccX"), words_of("eRPM_1")
    (['batt', 'volts'], ['imu', '0', 'acc', 'x'], ['electrical', 'rpm', '1'])
    """
    text = _FIELD_SPEED.sub("electrical ", text)
    for word, latin in _TRANSLATED.items():
        text = text.replace(word, f" {latin} ").replace(word.capitalize(), f" {latin} ")
    plain = unicodedata.normalize("NFKD", text.translate(_LETTERS))
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return [word.lower() for part in _SPLIT.split(plain) for word in _pieces(part) if word]


def _pieces(part: str) -> Iterable[str]:
    return _CAMEL.split(part)
