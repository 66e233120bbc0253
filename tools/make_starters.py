"""Write the starter sheets of the library from the tables in ``tools/starters``.

Run ``python tools/make_starters.py`` after a change of a table. All figures are
invented, typical ones, from memory; the tables give standard deviations, the
sheets bounds (1.73 times as much, as for a rectangular distribution).
"""

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import hypot
from pathlib import Path

from swapwright.model.ends import end_forms
from swapwright.model.families import Family, families

TABLES = Path(__file__).parent / "starters"
TARGET = Path(__file__).parents[1] / "src" / "swapwright" / "library" / "starters"
VERSION = 1
BOUND = 1.73  # of a standard deviation
TYPICAL = ", typical"
SIDES = {"vehicle": "car", "engine": "engine", "gearbox": "gearbox"}
NO_ENGINE_LOOM = ("A1", "A5", "D6")
V_ENGINES = ("D3", "D4")

Row = Mapping[str, str]
Tree = dict[str, "str | list[str] | Tree"]
Point = tuple[float, float, float]

# What the rating codes of the tables stand for; A, continuous and peak current, is read apart.
RATINGS: Mapping[str, Mapping[str, str]] = {
    "W": {
        "pressure_limit": "1.1 bar", "test_pressure": "1.4 bar",
        "temperature_limit": "105 °C", "peak_temperature": "125 °C",
    },
    "O": {
        "pressure_limit": "5 bar", "peak_pressure": "10 bar",
        "temperature_limit": "130 °C", "peak_temperature": "150 °C",
    },
    "Fi": {
        "pressure_limit": "3.0 bar", "dead_head_pressure": "6 bar",
        "temperature_limit": "60 °C", "peak_temperature": "90 °C",
    },
    "Fl": {
        "pressure_limit": "0.35 bar", "temperature_limit": "60 °C", "peak_temperature": "80 °C",
    },
    "V": {
        "pressure_limit": "5 kPa", "suction_limit": "3.4 kPa", "relief_pressure": "11 kPa",
        "temperature_limit": "60 °C",
    },
    "U": {"suction_limit": "90 kPa", "temperature_limit": "120 °C"},
    "L": {"suction_limit": "5 kPa", "temperature_limit": "80 °C"},
    "X": {
        "pressure_limit": "0.3 bar", "temperature_limit": "750 °C", "peak_temperature": "950 °C",
    },
    "Hp": {"pressure_limit": "90 bar", "temperature_limit": "110 °C"},
    "Hr": {"pressure_limit": "2 bar", "temperature_limit": "110 °C"},
    "N": {"pull_force": "60 N", "peak_pull_force": "200 N"},
}  # fmt: skip

# Inch sizes that old parts have as often as metric ones.
INCH_SIZES = {
    "hot ret": "stubs of 1 1/4, 1 3/8 or 1 1/2 in", "hsup hret": "1/2 or 5/8 in",
    "feed fret tank": "1/4 or 5/16 in", "flg cat": "1 5/8, 1 3/4 or 2 in",
    "mnt gmnt out": "threads 5/16-24 or 3/8-24",
}  # fmt: skip
INCH = {name: size for names, size in INCH_SIZES.items() for name in names.split()}
OFTEN_INCH = {
    "A1": "as often in inches", "A5": "as often in inches",
    "D6": "as often in inches", "D4": "often in inches",
}  # fmt: skip


@dataclass(frozen=True)
class PortRow:
    """One port of one sheet, as the tables give it."""

    name: str
    there: str = ""
    end: str = ""
    place: str = ""
    facts: str = ""
    part: str = ""
    plug: str = ""
    note: str = ""

    def changed(self, row: Row) -> "PortRow":
        """With the cells that a table of differences fills."""
        changed = replace(self, **{key: row[key] for key in CELLS if row[key]})
        # what the core remarks on a port is no reason for its absence
        return replace(changed, note=row["note"]) if row["there"] == "-" else changed


CELLS = ("there", "end", "place", "facts", "part", "plug", "note")


@dataclass(frozen=True)
class Sheet:
    """One starter sheet to be."""

    code: str
    kind: str
    label: str
    note: str
    scalars: Mapping[str, str]  # as the table gives them
    ports: Mapping[str, PortRow]


def table(name: str) -> list[Row]:
    """Rows of one table; lines that start with # are remarks."""
    lines = (TABLES / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


# -- figures ----------------------------------------------------------------


def bound(deviation: float) -> str:
    """A typed bound for a standard deviation, to two figures."""
    return f"{float(f'{BOUND * deviation:.2g}'):g}"


def figure(written: str, unit: str = "", deviation: str = "") -> str:
    """``36+-3`` or ``36`` with its unit as a typed value."""
    nominal, _, own = written.partition("+-")
    spread = own or deviation
    if spread.endswith("%"):
        spread = str(float(nominal) * float(spread.rstrip(" %")) / 100)
    plus_minus = f" ± {bound(float(spread))}" if spread else ""
    return f"{nominal}{plus_minus} {unit}".strip() + TYPICAL


def size(written: str) -> str:
    """A length in mm; one without a spread may be off by a size."""
    nominal = float(written.partition("+-")[0])
    return figure(written, "mm", "2" if nominal > 25 else "1")


def said(written: str, unit: str, deviation: str) -> "str | Tree":
    """A cell of a table of scalars, ``value; remark``."""
    value, _, remark = (part.strip() for part in written.partition(";"))
    number = re.fullmatch(r"-?[\d.]+(\+-[\d.]+)?", value)
    if number and not remark:
        return figure(value, unit, deviation)
    text = figure(value, unit, deviation) if number else value + TYPICAL
    if not remark:
        return text
    return {"value": text.removesuffix(TYPICAL), "basis": "typical", "note": remark}


# -- ends and facts of ports --------------------------------------------------


def end_of(written: str) -> "str | Tree":
    """An end form with typical sizes; ``form size`` or ``form name=size …``."""
    if written in ("", "unknown"):
        return "unknown"
    form = max((name for name in end_forms() if (written + " ").startswith(name + " ")), key=len)
    definition = end_forms()[form]
    rest = written.removeprefix(form).strip()
    half = next((each for each in definition.halves if (rest + " ").startswith(each + " ")), "")
    words = rest.removeprefix(half).split()
    if any("=" in word for word in words):
        named = (word.split("=") for word in words)
        dims: Tree = {name: dim(form, name, value) for name, value in named}
        return {"form": form, **({"half": half} if half else {}), **dims}
    whole = " ".join(words)
    sized = " " + dim(form, definition.main, whole) if whole else ""
    return f"{form} {half}".strip() + sized


def dim(form: str, name: str, written: str) -> str:
    """One dimension of an end."""
    is_length = end_forms()[form].dims[name].name == "length"
    return size(written) if is_length else written + TYPICAL


def facts_of(written: str, scalars: Mapping[str, str]) -> Tree:
    """Ratings by their codes, and named facts."""
    facts: Tree = {}
    for word in filter(None, (part.strip() for part in written.split(";"))):
        if "=" in word:
            name, value = word.split("=")
            number, _, unit = value.partition(" ")
            plain = re.fullmatch(r"[\d.]+(\+-[\d.]+)?", number)
            facts[name] = figure(number, unit) if plain else value + TYPICAL
        elif word.startswith("A "):
            names = ("current", "peak_current")
            for name, amperes in zip(names, word[2:].split("/"), strict=False):
                facts[name] = f"{amperes} A{TYPICAL}"
        else:
            facts |= {name: value + TYPICAL for name, value in RATINGS[word].items()}
            if word == "W":
                facts |= under_cap(scalars)
                if "test_pressure" in facts and float(cap_of(scalars)) < 1.1:
                    del facts["test_pressure"]  # 1.4 bar is meant for 1.1
    return facts


def cap_of(scalars: Mapping[str, str]) -> str:
    """Opening of the cap of this car, or of the car the engine came from. [bar]"""
    return scalars.get("cap_pressure") or scalars["original_cap_pressure"]


def under_cap(scalars: Mapping[str, str]) -> Tree:
    """The cap's pressure, where it opens before a coolant port's usual limit."""
    cap = cap_of(scalars)
    return {"pressure_limit": f"{cap} bar{TYPICAL}"} if float(cap) < 1.1 else {}


def plug_of(written: str, code: str) -> Tree:
    """``P n e``: which half, on what, and what carries the other half."""
    half, on, mate = written.split()
    loom = "body loom" if code in NO_ENGINE_LOOM else "engine loom"
    looms = {"e": loom, "b": "body loom", "t": "tank loom", "g": "the gearbox"}
    halves = {"P": "pin", "S": "socket", "?": "unknown"}
    return {
        "half": halves[half], "on": looms.get(on, "the part itself"),
        "mate": looms[mate], "mate_seen": "unknown",
    }  # fmt: skip


# -- places -----------------------------------------------------------------


def place_of(sheet: Sheet, port: PortRow) -> tuple[Tree, str]:
    """Where a port is, and a remark when it may be elsewhere."""
    if not port.place:
        return {}, ""
    if port.place == "pipe":
        return {"words": "in the front pipe"}, ""
    if port.place == "main":
        place, _ = place_of(sheet, sheet.ports["main"])
        return {**place, "words": f"in the main plug: {place['words']}"}, ""
    if sheet.kind == "vehicle":
        return car_place(sheet, port)
    if port.place.startswith("g "):
        x, y, z = (float(part) for part in port.place[2:].split(","))
        spot = pinned((x, y, z), (25, 25, 25))
        return {"words": gearbox_words(x, y, z), "at": spot}, ""
    return engine_place(sheet, port.place), ""


def pinned(point: Point, deviation: Point) -> list[str]:
    """Coordinates in whole millimetres."""
    return [
        f"{round(each)} ± {BOUND * spread:.0f} mm{TYPICAL}"
        for each, spread in zip(point, deviation, strict=True)
    ]


def engine_frame_point(scalars: Mapping[str, str], place: str) -> tuple[Point, Point]:
    """A place in fractions of the engine's box, in its frame, with its deviation. [mm]

    ``.48 I.92 .69``: along from timing end to bell face, toward inlet or exhaust
    side (left or right of a V engine), up from sump to top.
    """
    u, side, w = place.split()
    along, up = float(u), float(w)
    aside = float(side.lstrip("IX"))
    on_exhaust = side.startswith("X")
    length, half, down, top = (
        float(scalars[name])
        for name in (
            "length_to_bell", "half_width_exhaust" if on_exhaust else "half_width_inlet",
            "depth_below_crank", "height_above_crank",
        )
    )  # fmt: skip
    inlet_on_right = scalars["inlet_side"].startswith("right")
    sign = 1 if on_exhaust != inlet_on_right else -1
    point = (-(1 - along) * length, sign * aside * half, -down + up * (down + top))
    # The spread of the place in the box, and of the box itself.
    deviation = (
        hypot(0.06 * length, 25 * (1 - along)),
        hypot(0.15 * half, 30 * aside),
        hypot(0.06 * (down + top), 25),
    )
    return point, deviation


def engine_place(sheet: Sheet, place: str) -> Tree:
    """Place of an engine's port, in words and in its frame."""
    u, side, w = place.split()
    along = "timing end" if float(u) < 0.25 else "bell end" if float(u) > 0.75 else "middle"
    names = {"I": "left", "X": "right"} if sheet.code in V_ENGINES else SIDE_NAMES
    aside = names[side[0]] + " side" if float(side.lstrip("IX")) > 0.35 else "middle"
    height = "low" if float(w) < 0.35 else "high" if float(w) > 0.70 else "half height"
    point, deviation = engine_frame_point(sheet.scalars, place)
    return {"words": f"{along}, {aside}, {height}", "at": pinned(point, deviation)}


SIDE_NAMES = {"I": "inlet", "X": "exhaust"}


def gearbox_words(x: float, y: float, z: float) -> str:
    """Place on a gearbox, in words."""
    along = "at the bell" if x < 150 else "at the tail" if x > 450 else "middle"
    aside = "left" if y < -40 else "right" if y > 40 else "centre"
    return f"{along}, {aside}, {'low' if z < -40 else 'high' if z > 40 else 'half height'}"


def car_place(sheet: Sheet, port: PortRow) -> tuple[Tree, str]:
    """Place of a car's port: its anchor, moved by an offset, to a corner or to a side."""
    anchor, _, where = port.place.partition(" ")
    row = ANCHORS[anchor]
    spot, _, remark = (part.strip() for part in row[sheet.code].partition(";"))
    words = row["words"] + (f", {WHERE[where]}" if where in WHERE else "")
    if spot == "-":
        return {"words": words}, ""
    x, y, z = (float(part) for part in spot.split(","))
    if anchor in ("OUT", "MNT") and port.name.endswith(("-l", "-r")):
        y = abs(y) * (-1 if port.name.endswith("-l") else 1)
        words += ", left" if y < 0 else ", right"
    dx, dy, dz = offset(sheet, where)
    deviation = tuple(float(part) for part in row["spread"].split(","))
    at = pinned((x + dx, y + dy, z + dz), (deviation[0], deviation[1], deviation[2]))
    elsewhere = re.match(r"-?\d", remark)
    return {"words": words, "at": at}, f"or near {remark}" if elsewhere else remark


WHERE = {
    "top left": "top left", "low right": "low right", "top": "top left", "low": "low right",
}  # fmt: skip


def offset(sheet: Sheet, where: str) -> Point:
    """From an anchor to a port; corners of the radiator follow from its core. [mm]"""
    if not where or where in ("left", "right"):
        return (0, 0, 0)
    if where in WHERE:
        width, height = (
            float(sheet.scalars[f"radiator_core_{name}"]) for name in ("width", "height")
        )
        # stubs sit a tenth of the core from its edge; bleed and drain at the very edge
        share = 0.4 if " " in where else 0.5
        sign = 1 if WHERE[where] == "top left" else -1
        return (0, -sign * width / 2, sign * share * height)
    dx, dy, dz = (float(part) for part in where.split(","))
    return (dx, dy, dz)


# -- sheets -----------------------------------------------------------------


def family_of(port: str) -> Family:
    """The row of the port table that a port of the tables belongs to."""
    found = families().get(port) or families().get(port.rsplit("-", 1)[0])
    if found is None:
        raise ValueError(f"{port} is no port of the port table")
    return found


def ports_of(code: str, kind: str) -> dict[str, PortRow]:
    """The core's ports of one kind of sheet, with what this sheet changes."""
    side = SIDES[kind]
    ports: dict[str, PortRow] = {}
    files = {"car": "ports-cars.csv", "engine": "ports-engines.csv"}
    for row in (*table("ports-core.csv"), *table(files.get(side, "ports-gearboxes.csv"))):
        if side not in row["sheets"].split() and code not in row["sheets"].split():
            continue
        for name in row["port"].split():
            ports[name] = ports.get(name, PortRow(name)).changed(row)
    doubled = {family_of(name).id for name in ports if name != family_of(name).id}
    # Where there are two, left and right, the single one need not be denied.
    return {n: p for n, p in ports.items() if not (n in doubled and p.there == "-")}


def sheets() -> Iterator[Sheet]:
    """All starter sheets."""
    for row in table("sheets.csv"):
        code, kind = row["code"], row["kind"]
        scalars = {each["fact"]: each.get(code, "") for each in table(f"scalars-{kind}.csv")}
        yield Sheet(code, kind, row["label"], row["note"], scalars, ports_of(code, kind))


def why_not(sheet: Sheet, family: Family) -> str:
    """Why a sheet has no port of a family."""
    if sheet.kind == "vehicle":
        return f"this half is on the {family.newcomer_half}" if not family.car_half else ABSENT_CAR
    if family.newcomer_half == sheet.kind:
        return f"not usual on this kind of {sheet.kind}"
    return f"this half is on the {family.newcomer_half or 'car'}"


ABSENT_CAR = "not usual on this kind of car"


def port_tree(sheet: Sheet, port: PortRow) -> Tree:
    """One port as it stands in the sheet."""
    family = family_of(port.name)
    tree: Tree = {"family": family.id}
    if port.there == "-":
        return {**tree, "there": "no", "why": port.note or why_not(sheet, family)}
    if port.there not in ("", "yes"):
        tree |= {"there": "unknown", "share": f"{100 * float(port.there):.0f} %{TYPICAL}"}
    if port.part:
        tree["part"] = port.part
    if port.name.endswith("-i"):
        tree["flow"] = "out" if sheet.kind == "vehicle" else "in"
    place, elsewhere = place_of(sheet, port)
    tree |= {"end": end_of(port.end), **({"place": place} if place else {})}
    if port.plug not in ("", "none"):
        tree["plug"] = plug_of(port.plug, sheet.code)
    tree["moves_with"] = moves_with(sheet, port)
    if port.facts:
        tree["facts"] = facts_of(port.facts, sheet.scalars)
    inch = f"{OFTEN_INCH[sheet.code]}: {INCH[family.id]}" if is_inch(sheet, family) else ""
    note = "; ".join(filter(None, (port.note, inch, elsewhere)))
    return {**tree, **({"note": note} if note else {})}


def is_inch(sheet: Sheet, family: Family) -> bool:
    """True where inch sizes are met as often as metric ones."""
    return sheet.code in OFTEN_INCH and family.id in INCH


def moves_with(sheet: Sheet, port: PortRow) -> str:
    """What carries the port along."""
    if sheet.kind != "vehicle":
        return "engine"
    return {"axle": "axle", "hubs": "axle", "key-switch": "column"}.get(port.part, "body")


def parts_tree(sheet: Sheet) -> Tree:
    """The parts that the sheet's ports sit on."""
    used = {port.part for port in sheet.ports.values() if port.there != "-"}
    parts: Tree = {}
    for row in table("parts.csv"):
        if row["on"] == sheet.kind and row["part"] in used:
            functions = [each.strip() for each in row["functions"].split(";") if each]
            more: Tree = {"functions": functions} if functions else {}
            parts[row["part"]] = {"label": row["label"], "kind": row["kind"], **more}
    return parts


def facts_tree(sheet: Sheet) -> Tree:
    """The sheet's own figures."""
    rows = table(f"scalars-{sheet.kind}.csv")
    return {
        row["fact"]: said(row.get(sheet.code, ""), row["unit"], row["spread"])
        for row in rows
        if row.get(sheet.code)
    }


def sheet_tree(sheet: Sheet) -> Tree:
    """One sheet as a document."""
    ports: Tree = {}
    for family in families().values():
        own = [port for port in sheet.ports.values() if family_of(port.name) is family]
        for port in own or [PortRow(family.id, "-")]:
            ports[port.name] = port_tree(sheet, port)
    parts = parts_tree(sheet)
    return {
        "format": "1", "kind": sheet.kind, "id": f"starter-{sheet.code.lower()}",
        "label": sheet.label, "starter": {"sheet": sheet.code, "version": str(VERSION)},
        **({"note": sheet.note} if sheet.note else {}),
        "facts": facts_tree(sheet), **({"parts": parts} if parts else {}), "ports": ports,
    }  # fmt: skip


# -- text -------------------------------------------------------------------


HEAD = """\
# Starter sheet {code}, version {version}: {label}.
# Every value is invented, typical and from memory: for starting only. It never backs a stop
# and yields to the first value of your own.
# Made by tools/make_starters.py from tools/starters; change those.
"""


def quoted(text: str) -> str:
    """A scalar, in quotes where YAML would read more into it."""
    risky = re.search(r": |:$| #|^[-?:,\[\]{}#&*!|>'\"%@`]|^$", text)
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"' if risky else text


def lines(tree: Tree, indent: int = 0) -> Iterator[str]:
    """A tree as YAML: lists in one line, mappings as blocks."""
    for key, held in tree.items():
        start = " " * indent + key + ":"
        if isinstance(held, dict):
            yield start
            yield from lines(held, indent + 2)
        elif isinstance(held, list):
            yield start + " [" + ", ".join(f'"{each}"' for each in held) + "]"
        else:
            yield f"{start} {quoted(held)}"


def texts() -> dict[str, str]:
    """All files of the starter folder, by name."""
    made: dict[str, str] = {}
    codes = ["# Starter sheets: code, kind of document, label.", "code,kind,label"]
    for sheet in sheets():
        head = HEAD.format(code=sheet.code, version=VERSION, label=sheet.label)
        made[f"{sheet.code}.yaml"] = head + "\n".join(lines(sheet_tree(sheet))) + "\n"
        codes.append(f'{sheet.code},{sheet.kind},"{sheet.label}"')
    return {**made, "codes.csv": "\n".join(codes) + "\n"}


ANCHORS = {row["anchor"]: row for row in table("car-anchors.csv")}

if __name__ == "__main__":
    for name, text in texts().items():
        (TARGET / name).write_text(text, "utf-8", newline="\n")
