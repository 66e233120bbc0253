"""Which starter sheets the answers call for, and what an answer implies beside itself."""

from collections.abc import Mapping

from swapwright.survey.answers import UNKNOWN, Answers

CARS = {
    "front crosswise to the front": "A3",
    "front crosswise to all four": "A3",
    "middle": "A4",
    "rear": "A5",
}
CARBURETTOR_CAR_TO = 1982  # between the two sheets for a lengthways front engine
ENGINES = {
    "four lengthways": "D1",
    "four crosswise": "D2",
    "v6": "D3",
    "v8": "D4",
    "diesel": "D5",
    "old carburettor four": "D6",
}
OUTGOING = {
    "A1": ("D6", "G1"),
    "A2": ("D1", "G1"),
    "A3": ("D2", "G2"),
    "A4": ("D2", "G2"),
    "A5": ("D6", "G2"),
}
CROSSWISE_ENGINES = ("D2", "D3")
CROSSWISE_CARS = ("A3", "A4", "A5")
BY_FUEL = {"diesel": "D5", "carburettor": "D6"}  # where only the fuel of the newcomer is known
IMPLIED = {  # what the kind of engine answers by itself, where nothing else was said
    "diesel": {"engine fuel": "diesel", "spark": "none"},
    "old carburettor four": {"engine fuel": "carburettor", "spark": "distributor"},
}


def said(answers: Answers, question: str) -> str:
    """The answer to a question, or unknown."""
    return answers.get(question, UNKNOWN)


def meant(answers: Answers, question: str) -> str:
    """The answer, or what another answer implies; else unknown."""
    own = said(answers, question)
    return own if own != UNKNOWN else IMPLIED.get(said(answers, "engine"), {}).get(question, own)


def driving(answers: Answers) -> str:
    """The role of the gearbox that will drive."""
    return "old-gearbox" if said(answers, "gearbox") == "the car's" else "gearbox"


def codes_by_role(answers: Answers) -> Mapping[str, str]:
    """Codes of the starter sheets by role; no gearbox comes in where the car's own stays."""
    car = _car(answers)
    engine = ENGINES.get(said(answers, "engine"))
    engine = engine or BY_FUEL.get(said(answers, "engine fuel"), "D1")
    old_engine, old_gearbox = OUTGOING[car]
    automatic = said(answers, "pedals") == "two"
    stays = driving(answers) == "old-gearbox"
    if stays and automatic and car not in CROSSWISE_CARS:
        old_gearbox = "G3"
    incoming = {} if stays else {"gearbox": _gearbox(engine, automatic)}
    old = {"old-engine": old_engine, "old-gearbox": old_gearbox}
    return {"car": car, "engine": engine, **incoming, **old}


def _car(answers: Answers) -> str:
    layout = said(answers, "layout")
    if layout in CARS:
        return CARS[layout]
    year, fuel = said(answers, "car year"), said(answers, "car fuel")
    old = fuel == UNKNOWN and year != UNKNOWN and int(year) <= CARBURETTOR_CAR_TO
    return "A1" if layout != UNKNOWN and (fuel == "carburettor" or old) else "A2"


def _gearbox(engine: str, automatic: bool) -> str:
    if engine in CROSSWISE_ENGINES:
        return "G2"
    return "G3" if automatic else "G1"
