"""The sheet "before you pull it": what to measure, photograph, tag at both ends, keep."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.crossings.regret import Kept, kept_things
from swapwright.crossings.rows import Crossing
from swapwright.model.assembly import AssembledPort, Assembly
from swapwright.model.families import families
from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_tree
from swapwright.model.words import Bought, FateWord, Kind, Side


@dataclass(frozen=True)
class Shot:
    """One photograph, and in which car it is taken."""

    number: str
    what: str
    car: str
    donor: str  # the newcomer in its own car, or on its pallet


@dataclass(frozen=True)
class ToRead:
    """One reading that cannot be taken later."""

    what: str
    unit: str
    tool: str
    where: str
    late: str


@dataclass(frozen=True)
class Tag:
    """One strip to tie to one half of a joint that is parted."""

    number: str  # 12A, 12B
    port: str
    label: str
    side: str  # stays, goes
    mate: str


@dataclass(frozen=True)
class PullSheet:
    """Everything to do before anything is pulled."""

    cautions: tuple[str, ...]
    shots: tuple[Shot, ...]
    readings: tuple[ToRead, ...]
    tags: tuple[Tag, ...]
    keep: tuple[str, ...]


@cache
def _shipped() -> Mapping[str, Tree]:
    return shipped_tree("swapwright.library", "survey", "pull-sheet.yaml")


def pull_sheet(assembly: Assembly, crossings: tuple[Crossing, ...]) -> PullSheet:
    """The sheet for one build: a pallet asks for other things than a running donor."""
    newcomer = "donor" if assembly.build.bought is Bought.WHOLE_CAR else "pallet"
    cautions = _shipped()["cautions"]
    assert isinstance(cautions, list)
    keep = tuple(f"{row.what}: {_asked_by(row)}" for row in kept_things())
    return PullSheet(
        tuple(str(each) for each in cautions),
        tuple(_shots(newcomer)),
        tuple(_readings(newcomer)),
        tuple(_tags(assembly, crossings)),
        keep,
    )


def _asked_by(row: Kept) -> str:
    labels = [family.label for name, family in families().items() if name in row.asked_by]
    asked = "asked for by " + ", ".join(labels) if labels else ""
    return "; ".join(part for part in (row.always, asked) if part)


def _rows(name: str) -> Iterator[tuple[str, Mapping[str, str]]]:
    tree = _shipped()[name]
    assert isinstance(tree, dict)
    for key, row in tree.items():
        assert isinstance(row, dict)
        yield key, {field: str(held) for field, held in row.items()}


def _shots(newcomer: str) -> Iterator[Shot]:
    for number, row in _rows("photographs"):
        if row.get("car") or row.get(newcomer):
            yield Shot(number, row["what"], row.get("car", ""), row.get(newcomer, ""))


def _readings(newcomer: str) -> Iterator[ToRead]:
    for what, row in _rows("readings"):
        places = [place for place in ("car", newcomer) if row.get(place)]
        if places:
            words = {
                "car": "car",
                "donor": "newcomer in its car",
                "pallet": "newcomer on the pallet",
            }
            where = " and ".join(words[place] for place in places)
            yield ToRead(what, row["unit"], row["with"], where, row["late"])


def _tags(assembly: Assembly, crossings: tuple[Crossing, ...]) -> Iterator[Tag]:
    """Two tags for every joint that is parted: on what stays and on what goes."""
    number = 0
    for crossing in crossings:
        for end in crossing.ends:
            if not _is_parted(assembly, end):
                continue
            number += 1
            mate = _mate(assembly, end)
            stays = end.side is Side.CAR
            yield Tag(f"{number}A", end.id, end.label, "stays" if stays else "goes in", mate)
            if mate:
                yield Tag(
                    f"{number}B", mate, end.label, "goes" if stays else "stays behind", end.id
                )


def _is_parted(assembly: Assembly, end: AssembledPort) -> bool:
    """Ends of the donor's own car are tagged as mates of what comes out of it."""
    kept = assembly.fate(end.id) is FateWord.KEPT
    vehicle = assembly.sheets[end.sheet].kind is Kind.VEHICLE
    swapped = end.side is Side.CAR or (end.side is Side.NEWCOMER and not vehicle)
    return end.there == "yes" and not kept and swapped


def _mate(assembly: Assembly, end: AssembledPort) -> str:
    """What it is parted from: its original mate in an id or in words."""
    if end.record.was:
        return assembly.resolve(end.record.was)
    if end.side is Side.NEWCOMER and assembly.build.bought is not Bought.WHOLE_CAR:
        return ""  # it was parted before it was bought
    if end.record.plug is not None and end.record.plug.mate:
        return end.record.plug.mate
    return end.family.was if end.family is not None else ""
