"""The unit table: every symbol that may stand behind a number.

Factors are built from the exact definitions: inch, pound, standard gravity and
gallon (NIST SP 811, appendix B; UK Weights and Measures Act 1985, schedule 1),
the bar, litre and degree (SI brochure, 9th edition, table 8). Two columns are
conventional: mercury at 0 °C weighs 13 595.1 kg/m³ and water at 4 °C weighs
1000 kg/m³ under standard gravity (NIST SP 811, appendix B.8).

Letter case is kept: mΩ and MΩ are nine powers of ten apart.
"""

from math import pi
from typing import Literal, NamedTuple

from .dimension import Dimension

Home = Literal["metric", "us", "both", ""]


class Unit(NamedTuple):
    """A unit; a value in the unit kept is ``factor · number + offset``."""

    symbol: str
    dimension: Dimension
    factor: float
    home: Home
    offset: float = 0.0


D = Dimension
INCH = 0.0254
FOOT = 12 * INCH
MILE = 5280 * FOOT
POUND = 0.45359237
GRAVITY = 9.80665
KGF = GRAVITY
LBF = POUND * GRAVITY
PSI = LBF / INCH**2
US_GALLON = 231 * INCH**3
IMPERIAL_GALLON = 4.54609e-3
HORSEPOWER = 550 * FOOT * LBF
METRIC_HORSEPOWER = 75 * KGF
MERCURY = 13595.1 * GRAVITY
WATER = 1000 * GRAVITY
MINUTE = 60.0
HOUR = 3600.0
TURN = 2 * pi
DEGREE = pi / 180
ICE_POINT = 273.15
FAHRENHEIT = 5 / 9
KWH = 3.6e6

Row = tuple[Dimension, Home, float, str]
# dimension, system at home in it, size in the unit kept, symbol and other spellings
ROWS: tuple[Row, ...] = (
    (D.LENGTH, "metric", 1e-6, "µm|micron|microns"),
    (D.LENGTH, "metric", 1e-3, "mm|millimetre|millimetres|millimeter|millimeters"),
    (D.LENGTH, "metric", 1e-2, "cm|centimetre|centimetres|centimeter|centimeters"),
    (D.LENGTH, "metric", 1.0, "m|metre|metres|meter|meters"),
    (D.LENGTH, "metric", 1e3, "km|kilometre|kilometres|kilometer|kilometers"),
    (D.LENGTH, "us", INCH, "in|inch|inches|″"),
    (D.LENGTH, "us", FOOT, "ft|foot|feet|′"),
    (D.LENGTH, "us", 3 * FOOT, "yd|yard|yards"),
    (D.LENGTH, "us", MILE, "mi|mile|miles"),
    (D.AREA, "both", 1e-6, "mm²|sq mm"),
    (D.AREA, "metric", 1e-4, "cm²|sq cm"),
    (D.AREA, "metric", 1.0, "m²|sq m"),
    (D.AREA, "us", INCH**2, "in²|sq in"),
    (D.AREA, "us", FOOT**2, "ft²|sq ft"),
    (D.VOLUME, "metric", 1e-6, "mL|ml|cm³|cc|ccm|millilitre|millilitres"),
    (D.VOLUME, "metric", 1e-5, "cL|cl"),
    (D.VOLUME, "metric", 1e-3, "L|l|dm³|litre|litres|liter|liters"),
    (D.VOLUME, "metric", 1.0, "m³"),
    (D.VOLUME, "us", INCH**3, "in³|cu in|cu.in|cid"),
    (D.VOLUME, "us", FOOT**3, "ft³|cu ft"),
    (D.VOLUME, "us", US_GALLON / 128, "US fl oz"),
    (D.VOLUME, "us", US_GALLON / 8, "US pt|US pint|US pints"),
    (D.VOLUME, "us", US_GALLON / 4, "US qt|US quart|US quarts"),
    (D.VOLUME, "us", US_GALLON, "US gal|US gallon|US gallons|gal US|USgal"),
    (D.VOLUME, "", IMPERIAL_GALLON / 160, "imp fl oz"),
    (D.VOLUME, "", IMPERIAL_GALLON / 8, "imp pt|imp pint|imp pints"),
    (D.VOLUME, "", IMPERIAL_GALLON / 4, "imp qt|imp quart|imp quarts"),
    (D.VOLUME, "", IMPERIAL_GALLON, "imp gal|imp gallon|imp gallons|imperial gallons|UK gal"),
    (D.MASS, "metric", 1e-3, "g|gram|grams"),
    (D.MASS, "metric", 1.0, "kg|kilogram|kilograms"),
    (D.MASS, "metric", 1e3, "t|tonne|tonnes"),
    (D.MASS, "us", POUND / 16, "oz|ounce|ounces"),
    (D.MASS, "us", POUND, "lb|lbs|lbm|pound|pounds"),
    (D.TIME, "both", 1e-3, "ms"),
    (D.TIME, "both", 1.0, "s|sec|second|seconds"),
    (D.TIME, "both", MINUTE, "min|minute|minutes"),
    (D.TIME, "both", HOUR, "h|hr|hrs|hour|hours"),
    (D.TIME, "both", 24 * HOUR, "d|day|days"),
    (D.TIME, "both", 168 * HOUR, "week|weeks"),
    (D.TEMPERATURE_DIFFERENCE, "metric", 1.0, "K|kelvin|Δ°C|°C difference|delta °C"),
    (D.TEMPERATURE_DIFFERENCE, "us", FAHRENHEIT, "°F difference|Δ°F|delta °F"),
    (D.PRESSURE, "metric", 1.0, "Pa"),
    (D.PRESSURE, "metric", 1e2, "hPa|mbar"),
    (D.PRESSURE, "metric", 1e3, "kPa"),
    (D.PRESSURE, "metric", 1e6, "MPa|N/mm²"),
    (D.PRESSURE, "metric", 1e5, "bar|bars|Bar"),
    (D.PRESSURE, "us", PSI, "psi|PSI|lb/in²|lbf/in²|lb/sq in"),
    (D.PRESSURE, "us", MERCURY * INCH, "inHg|in Hg|″Hg"),
    (D.PRESSURE, "us", WATER * INCH, "inH2O|in H2O|″H2O"),
    (D.PRESSURE, "", MERCURY / 1000, "mmHg|mm Hg"),
    (D.PRESSURE, "", WATER / 1000, "mmH2O|mm H2O"),
    (D.PRESSURE, "", KGF * 1e4, "kgf/cm²|kg/cm²|kp/cm²"),
    (D.POWER, "both", 1e-3, "mW"),
    (D.POWER, "both", 1.0, "W|watt|watts"),
    (D.POWER, "metric", 1e3, "kW"),
    (D.POWER, "us", HORSEPOWER, "hp|HP|bhp"),
    (D.POWER, "", METRIC_HORSEPOWER, "PS|metric hp|cv|CV|ch"),
    (D.POWER, "us", 1055.05585262 / HOUR, "Btu/h|BTU/h"),
    (D.ENERGY, "both", 1.0, "J"),
    (D.ENERGY, "both", 1e3, "kJ"),
    (D.ENERGY, "both", 1e6, "MJ"),
    (D.ENERGY, "both", 3600.0, "Wh|W·h"),
    (D.ENERGY, "both", KWH, "kWh|kW·h"),
    (D.TORQUE, "metric", 1.0, "N·m|Nm"),
    (D.TORQUE, "metric", 1e3, "kN·m|kNm"),
    (D.TORQUE, "", KGF, "kgf·m|kg·m|kp·m|kgm|mkg"),
    (D.TORQUE, "us", LBF * INCH, "lbf·in|lb·in|in·lb|in·lbf|in·lbs"),
    (D.TORQUE, "us", LBF * FOOT, "lbf·ft|lb·ft|ft·lb|ft·lbf|lbs·ft|ft·lbs|lbft|ftlb"),
    (D.FORCE, "metric", 1.0, "N|newton|newtons"),
    (D.FORCE, "metric", 1e1, "daN"),
    (D.FORCE, "metric", 1e3, "kN"),
    (D.FORCE, "", KGF, "kgf|kp"),
    (D.FORCE, "us", LBF, "lbf"),
    (D.STIFFNESS, "metric", 1.0, "N/m"),
    (D.STIFFNESS, "metric", 1e3, "N/mm|kN/m"),
    (D.STIFFNESS, "", KGF * 1e3, "kgf/mm|kg/mm"),
    (D.STIFFNESS, "us", LBF / INCH, "lbf/in|lb/in|lbs/in"),
    (D.VOLUME_FLOW, "metric", 1e-6 / MINUTE, "mL/min|ml/min|cc/min|cm³/min"),
    (D.VOLUME_FLOW, "metric", 1e-6, "mL/s|ml/s|cc/s|cm³/s"),
    (D.VOLUME_FLOW, "metric", 1e-3 / HOUR, "L/h|l/h|L/hr"),
    (D.VOLUME_FLOW, "metric", 1e-3 / MINUTE, "L/min|l/min|lpm|LPM"),
    (D.VOLUME_FLOW, "metric", 1e-3, "L/s|l/s"),
    (D.VOLUME_FLOW, "metric", 1 / HOUR, "m³/h"),
    (D.VOLUME_FLOW, "metric", 1 / MINUTE, "m³/min"),
    (D.VOLUME_FLOW, "metric", 1.0, "m³/s"),
    (D.VOLUME_FLOW, "us", US_GALLON / HOUR, "US gal/h|US gal/hr|US gph"),
    (D.VOLUME_FLOW, "us", US_GALLON / MINUTE, "US gal/min|US gpm"),
    (D.VOLUME_FLOW, "", IMPERIAL_GALLON / HOUR, "imp gal/h|imp gph"),
    (D.VOLUME_FLOW, "", IMPERIAL_GALLON / MINUTE, "imp gal/min|imp gpm"),
    (D.VOLUME_FLOW, "us", FOOT**3 / MINUTE, "ft³/min|cfm|CFM"),
    (D.MASS_FLOW, "metric", 1.0, "kg/s"),
    (D.MASS_FLOW, "metric", 1e-3, "g/s"),
    (D.MASS_FLOW, "metric", 1 / MINUTE, "kg/min"),
    (D.MASS_FLOW, "metric", 1 / HOUR, "kg/h|kg/hr"),
    (D.MASS_FLOW, "us", POUND / HOUR, "lb/h|lb/hr|lbs/hr"),
    (D.MASS_FLOW, "us", POUND / MINUTE, "lb/min|lbs/min"),
    (D.CURRENT, "both", 1e-6, "µA"),
    (D.CURRENT, "both", 1e-3, "mA"),
    (D.CURRENT, "both", 1.0, "A|amp|amps|ampere|amperes"),
    (D.VOLTAGE, "both", 1e-3, "mV"),
    (D.VOLTAGE, "both", 1.0, "V|volt|volts"),
    (D.VOLTAGE, "both", 1e3, "kV"),
    (D.RESISTANCE, "both", 1e-6, "µΩ"),
    (D.RESISTANCE, "both", 1e-3, "mΩ"),
    (D.RESISTANCE, "both", 1.0, "Ω|ohms|Ohm"),
    (D.RESISTANCE, "both", 1e3, "kΩ"),
    (D.RESISTANCE, "both", 1e6, "MΩ"),
    (D.CHARGE, "both", 3.6, "mAh"),
    (D.CHARGE, "both", 3600.0, "Ah|A·h"),
    (D.ANGLE, "both", DEGREE, "°|degree|degrees"),
    (D.ANGLE, "both", 1.0, "rad"),
    (D.ROTATIONAL_SPEED, "both", TURN / MINUTE, "rpm|RPM|rev/min|r/min|1/min|min-1"),
    (D.ROTATIONAL_SPEED, "both", TURN, "rev/s|rps"),
    (D.ROTATIONAL_SPEED, "both", 1.0, "rad/s"),
    (D.ROTATIONAL_SPEED, "both", DEGREE, "°/s"),
    (D.SPEED, "metric", 1.0, "m/s"),
    (D.SPEED, "metric", 1000 / HOUR, "km/h|kph|kmh"),
    (D.SPEED, "us", FOOT, "ft/s"),
    (D.SPEED, "us", MILE / HOUR, "mph|mi/h"),
    (D.FREQUENCY, "both", 1.0, "Hz|1/s"),
    (D.FREQUENCY, "both", 1e3, "kHz"),
    (D.FREQUENCY, "both", 1e6, "MHz"),
    (D.RATIO, "both", 1e-2, "%|percent|per cent"),
    (D.RATIO, "both", 1e-6, "ppm"),
    (D.RATIO, "both", 1.0, ":1"),
    (D.COUNT, "both", 1.0, "pcs|off|pieces"),
    (D.TURNS_PER_DISTANCE, "metric", 1e-3, "rev/km|turns/km"),
    (D.TURNS_PER_DISTANCE, "metric", 1.0, "rev/m|turns/m"),
    (D.TURNS_PER_DISTANCE, "us", 1 / MILE, "rev/mi|turns/mi|rev/mile|turns/mile"),
    (D.SOUND_LEVEL, "both", 1.0, "dB|dBA|dB(A)"),
    (D.SPECIFIC_FUEL_CONSUMPTION, "metric", 1 / KWH, "kg/kWh|kg/(kW·h)"),
    (D.SPECIFIC_FUEL_CONSUMPTION, "metric", 1e-3 / KWH, "g/kWh|g/(kW·h)"),
    (D.SPECIFIC_FUEL_CONSUMPTION, "us", POUND / (HORSEPOWER * HOUR), "lb/(hp·h)|lb/hph"),
    (D.DENSITY, "metric", 1.0, "kg/m³|g/L"),
    (D.DENSITY, "metric", 1e3, "kg/L|g/cm³|kg/dm³|g/mL"),
    (D.DENSITY, "us", POUND / FOOT**3, "lb/ft³"),
    (D.KINEMATIC_VISCOSITY, "both", 1e-6, "mm²/s|cSt"),
    (D.KINEMATIC_VISCOSITY, "both", 1.0, "m²/s"),
    (D.THERMAL_CONDUCTANCE, "both", 1.0, "W/K"),
    (D.THERMAL_CONDUCTANCE, "both", 1e3, "kW/K"),
)
SCALES: tuple[tuple[Unit, str], ...] = (
    (Unit("°C", D.TEMPERATURE, 1.0, "metric", ICE_POINT), "deg C|celsius|Celsius"),
    (
        Unit("°F", D.TEMPERATURE, FAHRENHEIT, "us", ICE_POINT - 32 * FAHRENHEIT),
        "deg F|fahrenheit|Fahrenheit",
    ),
)
STUCK_ON = {"psia": "psi abs", "bara": "bar abs", "psig": "psi", "barg": "bar"}

WHICH_GALLON = 'US and imperial differ by a fifth; write "US gal" or "imp gal"'
UNCLEAR: dict[str, str] = {
    "gal": WHICH_GALLON,
    "gallon": WHICH_GALLON,
    "gallons": WHICH_GALLON,
    "gal/h": WHICH_GALLON,
    "gal/min": WHICH_GALLON,
    "gph": WHICH_GALLON,
    "gpm": WHICH_GALLON,
    "qt": 'US and imperial differ by a fifth; write "US qt" or "imp qt"',
    "pt": 'US and imperial differ by a fifth; write "US pt" or "imp pt"',
    "fl·oz": 'US and imperial differ; write "US fl oz" or "imp fl oz"',
    "ton": 'tons differ; write "t" for 1000 kg, or pounds',
    "tons": 'tons differ; write "t" for 1000 kg, or pounds',
    "C": 'write "°C" or "degC" for a temperature, "Ah" for a charge',
    "F": 'write "°F" or "degF"',
    "ga": 'wire gauges differ; write "AWG", or the copper area in mm²',
    "gauge": 'wire gauges differ; write "AWG", or the copper area in mm²',
    "SAE": "an SAE wire is thinner than the AWG of its number; write the copper area in mm²",
    "NPT": "a taper pipe thread, not a unit",
    "BSP": "a pipe thread, not a unit",
}

_PLAIN = str.maketrans(
    {
        **dict.fromkeys("·⋅•∙*-–−‑⁻. ()", "·"),
        **dict.fromkeys("°º˚", "deg"),
        **dict.fromkeys("\u00b5\u03bc", "u"),
        **dict.fromkeys("\u03a9\u2126", "ohm"),
        **dict.fromkeys("\"″”“", "in"),
        **dict.fromkeys("'′’", "ft"),
        "²": "2",
        "³": "3",
        "¹": "1",
        "^": "",
        "Δ": "delta",
        "℃": "degC",
        "℉": "degF",
        "ℓ": "L",
    }
)  # fmt: skip


def spelled(unit: str) -> str:
    """One spelling for what differs only in dots, spaces, powers and signs."""
    # "in." and "bar (abs)" are whole; "mm..", "mm -" and "bar)" are not.
    if unit.endswith(".") or (unit.endswith(")") and "(" in unit):
        unit = unit[:-1]
    key = unit.translate(_PLAIN)
    while "··" in key:
        key = key.replace("··", "·")
    return key.replace("/·", "/").replace("deg·", "deg")


def _pressure_spellings(unit: Unit, name: str) -> list[tuple[str, Unit]]:
    absolute = Unit(f"{unit.symbol} abs", D.ABSOLUTE_PRESSURE, unit.factor, unit.home)
    # A vacuum gauge counts downwards: its needle shows how far below the air.
    vacuum = Unit(f"{unit.symbol} vacuum", D.PRESSURE, -unit.factor, unit.home)
    return [
        *((f"{name} {word}", absolute) for word in ("abs", "absolute", "a")),
        *((f"{name} {word}", unit) for word in ("gauge", "g")),
        *((f"{name} {word}", vacuum) for word in ("vacuum", "vac")),
    ]


def spellings() -> list[tuple[str, Unit]]:
    """Every accepted spelling with its unit."""
    pairs: list[tuple[str, Unit]] = []
    for dimension, home, factor, names in ROWS:
        symbol, *_ = every = names.split("|")
        unit = Unit(symbol, dimension, factor, home)
        for name in every:
            pairs.append((name, unit))
            if dimension is D.PRESSURE:
                pairs += _pressure_spellings(unit, name)
    for unit, names in SCALES:
        pairs += [(name, unit) for name in (unit.symbol, *names.split("|"))]
    known = dict(pairs)
    return pairs + [(short, known[full]) for short, full in STUCK_ON.items()]


UNITS: dict[str, Unit] = {}
for _name, _unit in spellings():
    UNITS[_name] = UNITS[spelled(_name)] = _unit
BARE_NUMBER = Unit("", D.RATIO, 1.0, "both")


def find_unit(text: str) -> Unit | None:
    """The unit of this spelling, or None."""
    return UNITS.get(text) or UNITS.get(spelled(text))


def guess_unit(text: str, dimension: Dimension | None) -> str:
    """Why this unit is not known, in a few words, with the nearest that is."""
    key = spelled(text)
    if key in UNCLEAR:
        return UNCLEAR[key]
    lower = key.casefold()
    other_case = {u.symbol for k, u in UNITS.items() if spelled(k).casefold() == lower}
    if other_case:
        named = " or ".join(f'"{symbol}"' for symbol in sorted(other_case))
        return f"capitals count in units: {named}?"
    from difflib import get_close_matches  # only a mistake pays for it

    near = {k: u for k, u in UNITS.items() if dimension in (None, u.dimension)}
    for pool in (near, UNITS):
        for name in get_close_matches(key, pool, n=1, cutoff=0.6):
            return f'no unit is called "{text}"; "{pool[name].symbol}"?'
    return f'no unit is called "{text}"'
