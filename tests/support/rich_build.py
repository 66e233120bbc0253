"""A build with every state of a crossing, long labels, odd characters, and all that is rare."""

from typing import Any

from tests.support.small_builds import small_build

from swapwright.crossings.red import red_line_digest
from swapwright.library.risks import red_lines
from swapwright.model.assembly import Assembly
from swapwright.model.words import Stage

LONG = "the radiator's upper stub behind the left headlamp, seen from above with the bonnet open "
ODD = '<script>alert("x")</script> & "quotes" ключ 90 °C ± 5'
NAMES = ("hot", "ret", "hsup", "hret", "ebl", "make", "tach", "tmp", "fan", "crz", "feed", "servo")


def rich_trees() -> dict[str, Any]:
    """The parts of ``small_build`` that make it."""
    car: dict[str, Any] = {name: {"family": name} for name in NAMES}
    motor: dict[str, Any] = {name: {"family": name} for name in NAMES}
    car["hot"] |= {"label": LONG + LONG, "end": "hose bead 36 mm", "was": "old.hot"}
    motor["hot"] |= {"label": ODD, "end": "hose bead 30 ± 2 mm, typical"}
    car["ret"] |= {"end": "hose bead 36 mm"}
    car["servo"] |= {"there": "unknown", "share": "90 %, typical"}
    car["abs"] = {"family": "abs"}
    car["stub"] = {"service": "unknown", "candidates": ["coolant", "vacuum"], "label": ODD}
    motor["x" + "long-name-" * 5] = {"label": LONG, "end": "hose bead 16 mm"}
    motor["fan"] |= {"plug": {"half": "pin", "mate": LONG, "mate_seen": "no"}}
    motor["oilp"] = {"family": "oilp"}
    joins = {
        "top": {
            "label": LONG, "ends": ["car.hot", "motor.hot"], "through": ["reducer", "hose"],
            "small": {"clamp": "have", "second clamp": "lost"}, "progress": "fitted",
        },
        "bottom": {"ends": ["car.ret", "motor.ret"], "through": ["hose"]},
        "tach": {"ends": ["car.tach", "motor.tach"], "progress": "proved"},
        "line": {
            "ends": ["car.feed", "motor.feed"], "progress": "in hand", "through": ["hose"],
            "stand_in": {"item": "hose", "until": "2026-05-12", "limits": "yard only " + ODD},
        },
    }  # fmt: skip
    fates = [
        {"port": "motor.crz", "fate": "parked", "until": "the actuator is found"},
        {"port": "car.crz", "fate": "parked"},
        {"port": "car.hret", "fate": "capped"}, {"port": "motor.hret", "fate": "capped"},
        {"port": "car.tmp", "fate": "kept"}, {"port": "motor.tmp", "fate": "kept"},
        {"port": "car.ebl", "fate": "relocated", "to": "higher"},
        {"port": "motor.ebl", "fate": "relocated", "to": "higher"},
        {"port": "car.make", "fate": "removed"}, {"port": "motor.make", "fate": "removed"},
    ]  # fmt: skip
    build = {
        "label": ODD + " " + LONG,
        "bought": "whole car",
        "joins": joins,
        "fates": fates,
        "facts": {"heater_tap": "shuts the loop, guessed"},
        "decisions": {
            "canister": {
                "question": LONG + "?", "options": {"own": ODD, "other": LONG}, "why": ODD,
                "about": ["car.feed"],
            },
            "done": {"question": "Which?", "options": {"a": "the first"}, "chosen": "a"},
        },
        "steps": {"cut-it": {"does": "cut", "what": ["motor.fan"]}},
        "stock": {
            "coil": {"label": ODD, "state": "damaged", "missing": [LONG]},
            "pump": {"label": "pump", "state": "wanted", "price": "30 EUR"},
        },
    }  # fmt: skip
    items = {
        "hose": {"label": "coolant hose " + ODD, "kind": "hose", "price": "12.50 EUR, typical"},
        "reducer": {"label": LONG, "kind": "reducer"},
    }
    shelf = {"format": 1, "kind": "catalogue", "id": "shelf", "items": items}
    old = {"hot": {"family": "hot"}}
    return {"car": car, "motor": motor, "old": old, "build": build, "others": {"shelf": shelf}}


def rich_build(stage: Stage = Stage.FIRST_START, **changes: Any) -> Assembly:
    """The build at a stage, with more said in its build document; one red line is proved."""
    trees = rich_trees()
    trees["build"] |= changes
    before = small_build(**trees, stage=stage)
    digest = red_line_digest(before, red_lines()["RL7"])
    trees["build"]["red_lines"] = {"RL7": {"proved": "2026-05-20", "digest": digest}}
    return small_build(**trees, stage=stage)
