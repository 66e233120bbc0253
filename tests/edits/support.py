"""A build folder as a person may have written it: comments, odd spacing, two styles."""

from datetime import date
from pathlib import Path

BUILD = """\
# what I do with these sheets
format: 1
kind: build
id: van
recipient: haywain   # the van
engine: four
outgoing: [old-four]
currency: EUR

gates: {before it is pulled: 2026-05-02}
joins:
  # heater, both ways
  heater-supply:
    ends: [four.hsup, haywain.hsup]
    through: [ heater-hose ]
    small: {clamp at engine: have,   clamp at matrix: lost}
    progress: planned      # hose is cut
    facts:
      route_length: 241 mm


  heater-return:
    ends: [four.hret, haywain.hret]
    reason: 'it''s the way it was'
  feed:
    ends: [four.feed, haywain.feed]
    facts: {hose_working_pressure: 3 bar, line_pressure: 3 bar}
fates:
  - {port: four.tach, fate: parked, reason: no gauge yet, facts: {signal_voltage: 5 V}}
  # nothing else so far
decisions:
  heater-tap:
    question: keep the tap?
    options: {keep: , ported: {label: a ported one}}
jobs: {J041: {state: planned}}
stock: {feed-hose: {item: heater-hose, state: ordered, due: 2026-05-12}}
readings: []
note: |
  first line
  second line

# the end
"""
CAR = """\
format: 1
kind: vehicle
id: haywain
formerly: [the-van]
label: "light van"
facts:
  kerb_mass: "1100 ± 20 kg, typical"   # from the sales leaflet
parts:
  rad: {label: radiator, kind: radiator}
  dash:
ports:
  hot:
    family: hot
    part: rad
    end: hose bead 36 mm
  hsup:   {formerly: [heat-in], end: "hose bead 16 mm, calipers", place: 'bulkhead, left',
    family: hsup}
  hret: {family: hret, end: {form: hose bead, barrel: 16 mm}}
  tach: {family: tach}
  feed: {family: feed}
  fair: unknown
  main: {family: main, plug: {half: socket, mate: engine loom}}
"""
ENGINE = """\
format: 1
kind: engine
id: four
ports:
  hot: {family: hot, end: hose bead 32 mm}
  hsup: {family: hsup, end: hose bead 16 mm}
  hret: {family: hret, end: hose bead 16 mm}
  tach: {family: tach}
  feed: {family: feed}
"""
OLD = """\
format: 1
kind: engine
id: old-four
ports: {hot: {family: hot}, hsup: {family: hsup}}
"""
SHELF = """\
format: 1
kind: catalogue
id: shelf
items:
  heater-hose: {kind: hose, ends: [hose end 16 mm, hose end 16 mm]}
"""
TEXTS = {
    "build.yaml": BUILD,
    "sheets/car.yaml": CAR,
    "sheets/engine.yaml": ENGINE,
    "sheets/old.yaml": OLD,
    "shelf.yaml": SHELF,
}
DAY = date(2026, 5, 20)


def folder_with(root: Path, **changed: str) -> Path:
    """Write the folder; keywords replace whole documents by the first word of their name."""
    folder = root / "van"
    for name, text in TEXTS.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(changed.get(path.stem, text).encode())
    return folder


def text_of(folder: Path, name: str) -> str:
    return (folder / name).read_bytes().decode()
