"""Makes a build folder from the answers to the survey and the starter sheets."""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from functools import cache
from io import StringIO
from pathlib import Path
from typing import Any

from swapwright.library.catalogue import starter_catalogue_text
from swapwright.library.starters import starter_text
from swapwright.library.survey_data import Effect, questions, survey_decisions, year_shares
from swapwright.model.families import families
from swapwright.model.faults import Fault, Faulty
from swapwright.survey.answers import UNKNOWN, Answers
from swapwright.survey.choosing import codes_by_role, driving, meant, said

SURE_FROM, RARE_TO = 0.95, 0.05  # shares from and to which a thing is taken as there or not there
FUEL_CHANGES = ("petrol-line", "diesel-tank")  # decisions of a change between petrol and diesel
KEEP_FROM_WHOLE_CAR = (
    "engine computer, reader and keys",
    "throttle pedal",
    "canister and its valves",
    "catalyst with its sensor",
    "mount rubbers, both halves",
    "shafts",
    "fans with shroud and switch",
    "body half of each plug, with 300 mm of wire",
)


@dataclass
class Begun:
    """The documents of a new build, and what was assumed."""

    trees: dict[str, Any] = field(default_factory=dict)  # by file name; a text where it is copied
    assumed: list[str] = field(default_factory=list)

    def text(self, name: str) -> str:
        """One document as it is written."""
        tree = self.trees[name]
        return tree if isinstance(tree, str) else _dumped(tree)

    @property
    def texts(self) -> dict[str, str]:
        """All documents as they are written, by file name."""
        return {name: self.text(name) for name in self.trees}


def begin(folder: Path, answers: Answers) -> Begun:
    """Write a new build folder.

    Raises
    ------
    Faulty
        When the folder is in use or cannot be written.
    """
    refuse_folder_in_use(folder)
    begun = new_build(folder.resolve().name, answers)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in begun.texts.items():
            (folder / name).write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise Faulty(
            [_fault(folder, error.strerror or "an error", "a folder to write to")]
        ) from None
    return begun


def refuse_folder_in_use(folder: Path) -> None:
    """Raise ``Faulty`` unless ``folder`` is new or empty."""
    if folder.exists() and not folder.is_dir():
        raise Faulty([_fault(folder, "a file", "a folder that is new or empty")])
    if folder.is_dir() and any(folder.iterdir()):
        raise Faulty(
            [_fault(folder, "a folder with something in it", "a folder that is new or empty")]
        )


def _fault(folder: Path, found: str, wanted: str) -> Fault:
    return Fault(str(folder), None, None, "", found, wanted, "swapwright begin my-build")


def new_build(name: str, answers: Answers) -> Begun:
    """The documents of a new build, from answers (every question, or ``unknown``)."""
    work = _Work(answers)
    work.take_sheets()
    work.take_years()
    for question in questions().values():
        for effect in question.effects.get(work.meant(question.name), ()):
            work.take(effect)
    work.leave_like_fuels()
    work.take_gearbox()
    work.keep_what_stays()
    return work.result(name)


class _Work:
    """The documents while the answers shape them."""

    def __init__(self, answers: Answers) -> None:
        self.answers = answers
        self.begun = Begun()
        self.sheets: dict[str, Any] = {}
        self.build: dict[str, Any] = {
            "facts": {},
            "fates": [],
            "decisions": {},
            "jobs": {},
            "stock": {},
        }

    def said(self, question: str) -> str:
        return said(self.answers, question)

    def meant(self, question: str) -> str:
        return meant(self.answers, question)

    @property
    def driving(self) -> str:
        return driving(self.answers)

    def assume(self, text: str) -> None:
        if text and text not in self.begun.assumed:
            self.begun.assumed.append(text)

    # -- which sheets --------------------------------------------------------

    def take_sheets(self) -> None:
        for role, code in codes_by_role(self.answers).items():
            self.sheets[role] = _sheet(code)
            self.sheets[role]["id"] = role
        self._label()
        if self.said("layout").endswith("to all four"):
            self._second_output()
        if self.said("layout") == UNKNOWN:
            self._without_places(self.sheets["car"], _starter("A3"))
        self._remember_old_mates()

    def _second_output(self) -> None:
        """A car that drives all four wheels has one more shaft, to the other axle."""
        self.sheets["car"]["ports"]["out-2"] = {
            "family": "out",
            "label": "output to the other axle",
        }

    def _label(self) -> None:
        words = {
            "car": "the car",
            "engine": "the newcomer's engine",
            "gearbox": "the gearbox that goes in",
            "old-engine": "the old engine",
            "old-gearbox": "the old gearbox",
        }
        for role, sheet in self.sheets.items():
            sheet["label"] = words[role]
        if self.said("gearbox") == "the car's":
            self.sheets["old-gearbox"]["label"] = "the car's own gearbox, which stays"

    def _without_places(self, sheet: Any, other: Any) -> None:
        """An unknown layout: no places, and what only one of two layouts has may be there."""
        for name, port in sheet["ports"].items():
            port.pop("place", None)
            if _may_be_there(port) and not _may_be_there(other["ports"].get(name)):
                port["there"] = "unknown"
        for name, port in other["ports"].items():
            if _may_be_there(port) and not _may_be_there(sheet["ports"].get(name)):
                sheet["ports"][name] = {"family": port["family"], "there": "unknown"}

    def _remember_old_mates(self) -> None:
        for name, port in self.sheets["car"]["ports"].items():
            if port.get("there") == "no":
                continue
            for old in ("old-engine", "old-gearbox"):
                mate = self.sheets[old]["ports"].get(name)
                if mate is not None and mate.get("there") != "no":
                    port["was"] = f"{old}.{name}"

    # -- answers -------------------------------------------------------------

    def take_years(self) -> None:
        for role, question in (("car", "car year"), ("engine", "engine year")):
            year = self.said(question)
            if year == UNKNOWN:
                continue
            self.sheets[role]["year"] = year
            shares = self._shares(role, int(year))
            for name, port in self.sheets[role]["ports"].items():
                share = shares.get(str(port.get("family", name)))
                if share is not None and self._answers_row(role, port):
                    self._set_share(port, share, year)

    def _shares(self, role: str, year: int) -> Mapping[str, float]:
        rows = year_shares()
        index = next((i for i, (last, _) in enumerate(rows) if year <= last), len(rows) - 1)
        shares = dict(rows[index][1])
        if self.said("inspection") == "strictly":
            stricter = rows[min(index + 1, len(rows) - 1)][1]
            shares |= {family: stricter[family] for family in ("purge", "fair", "cat", "lam")}
        if self.meant(f"{role} fuel") == "diesel" and year <= 1995:
            shares |= dict.fromkeys(("purge", "fair", "cat", "lam"), 0.0)
        return shares

    def _answers_row(self, role: str, port: Any) -> bool:
        """True where this half of the family belongs on the sheet of that role."""
        family = families().get(str(port.get("family", "")))
        if family is None:
            return False
        return family.car_half if role == "car" else family.newcomer_half == role.split("-")[-1]

    def _set_share(self, port: Any, share: float, year: str) -> None:
        for key in ("there", "why", "share"):
            port.pop(key, None)
        if share <= RARE_TO:
            port["there"] = "no"
            port["why"] = f"rare in {year}"
        elif share < SURE_FROM:
            port["there"] = "unknown"
            port["share"] = f"{share:.0%}, typical".replace("%", " %")

    def take(self, effect: Effect) -> None:
        for answer, members in (
            ("yes", effect.there),
            ("no", effect.gone),
            ("unknown", effect.perhaps),
        ):
            for family in members:
                self._set_there(family, answer, effect.on)
        for subject, facts in effect.facts.items():
            holder = self.build if subject == "build" else self.sheets.get(subject)
            if holder is not None:
                holder.setdefault("facts", {}).update(facts)
        for family in effect.capped:
            self._propose_cap(family)
        for decision in effect.decisions:
            self._open_decision(decision)
        for job in effect.jobs:
            self.build["jobs"].setdefault(job, {"state": "planned"})
        for family in effect.lost_halves:
            self._lose_half(family)
        self.assume(effect.tell)

    def _set_there(self, family: str, answer: str, on: tuple[str, ...]) -> None:
        for role, name, port in self._ports(family):
            if (
                (on and role not in on)
                or (role.startswith("old-") and role != self.driving)
                or not self._answers_row(role, port)
            ):
                continue
            for key in ("there", "why", "share"):
                port.pop(key, None)
            if answer != "yes":
                port["there"] = answer
            if answer == "no":
                port["why"] = "said so in the survey"
            elif "end" not in port and name:
                port.setdefault("family", family)

    def _ports(self, family: str) -> Iterator[tuple[str, str, Any]]:
        for role, sheet in self.sheets.items():
            for name, port in sheet["ports"].items():
                if port.get("family", name) == family:
                    yield role, name, port

    def _propose_cap(self, family: str) -> None:
        for role, name, port in self._ports(family):
            if role == "engine" and _may_be_there(port):
                reason = "the car has none, said so in the survey"
                self._state(role, name, "capped", reason)

    def _lose_half(self, family: str) -> None:
        for role, _, port in self._ports(family):
            if role in ("engine", "gearbox") and port.get("there") != "no" and "plug" in port:
                port["plug"]["mate"] = "body loom of its own car"
                port["plug"]["mate_seen"] = "no"
                port["note"] = "the other half stayed in its car: find one, or buy"

    def _open_decision(self, name: str) -> None:
        decision = dict(survey_decisions()[name])
        about = decision.pop("about", None)
        decision["about"] = [
            f"{role}.{port_name}"
            for family in (about if isinstance(about, list) else ())
            for role, port_name, port in self._ports(str(family))
            if not role.startswith("old-") and port.get("there") != "no"
        ]
        decision["chosen"] = "unknown"
        self.build["decisions"][name] = decision

    def leave_like_fuels(self) -> None:
        """A diesel that replaces a diesel changes nothing in tank and lines."""
        if {self.meant("car fuel"), self.meant("engine fuel")} == {"diesel"}:
            for decision in FUEL_CHANGES:
                self.build["decisions"].pop(decision)

    # -- gearbox, kept ends, whole cars --------------------------------------

    def take_gearbox(self) -> None:
        if self.said("gearbox") == "the car's":
            for family in ("clu", "out", "shift", "gmnt", "spd"):
                for role, name, port in self._ports(family):
                    if role in ("car", "old-gearbox") and port.get("there", "yes") == "yes":
                        self._keep(role, name, "the car's own gearbox stays")
        elif self.said("bought") == "alone" or self.said("gearbox") == "another":
            self.build["stock"]["gearbox-to-find"] = {
                "label": "the gearbox that goes in",
                "state": "wanted",
                "item": "gearbox",
            }
        if self.said("bought") == "whole car":
            for number, label in enumerate(KEEP_FROM_WHOLE_CAR, 1):
                self.build["stock"][f"keep-{number}"] = {"label": label, "state": "here"}
        self._open_decision("canister")

    def keep_what_stays(self) -> None:
        """Propose *kept* for what stays whole on its own side; all else is open."""
        for role in ("car", "engine", self.driving):
            for name, port in self.sheets[role]["ports"].items():
                family = families().get(str(port.get("family", name)))
                one_half = family is not None and not (family.newcomer_half and family.car_half)
                if (
                    family
                    and one_half
                    and family.usually_kept
                    and port.get("there", "yes") == "yes"
                ):
                    self._keep(role, name, family.usual)

    def _keep(self, role: str, name: str, reason: str) -> None:
        self._state(role, name, "kept", reason)

    def _state(self, role: str, name: str, fate: str, reason: str) -> None:
        port = f"{role}.{name}"
        if all(stated["port"] != port for stated in self.build["fates"]):
            self.build["fates"].append({"port": port, "fate": fate, "reason": reason})

    # -- result --------------------------------------------------------------

    def result(self, name: str) -> Begun:
        build: dict[str, Any] = {
            "format": 1,
            "kind": "build",
            "id": "build",
            "label": name,
            "units": "metric",
            "recipient": "car",
            "engine": "engine",
            "gearbox": "gearbox" if "gearbox" in self.sheets else "old-gearbox",
            "outgoing": ["old-engine"] + (["old-gearbox"] if "gearbox" in self.sheets else []),
            "bought": self.said("bought"),
            "pose": "unknown",
            "survey": dict(self.answers),
            "facts": self.build["facts"],
            "joins": {},
            **{key: self.build[key] for key in ("fates", "decisions", "jobs", "stock")},
        }
        self.begun.trees["build.yaml"] = build
        for role, sheet in self.sheets.items():
            self.begun.trees[f"{role}.yaml"] = sheet
        self.begun.trees["catalogue.yaml"] = starter_catalogue_text()
        return self.begun


def _may_be_there(port: Any) -> bool:
    return port is not None and port.get("there") != "no"


def _yaml() -> Any:
    from ruamel.yaml import YAML  # only begin and edits pay for it

    yaml = YAML(typ="rt")
    yaml.width = 4096
    yaml.preserve_quotes = True
    yaml.indent(2, 4, 2)
    return yaml


def _sheet(code: str) -> Any:
    """A starter sheet of one's own: reading costs ten times as much as copying."""
    return deepcopy(_starter(code))


@cache
def _starter(code: str) -> Any:
    return _yaml().load(starter_text(code))


def _dumped(tree: Any) -> str:
    stream = StringIO()
    _yaml().dump(tree, stream)
    return stream.getvalue()
