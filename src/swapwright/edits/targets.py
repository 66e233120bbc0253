"""From ``car.hsup.end.barrel`` to a document and a path in it.

Works on what could be parsed, not on records, so that an edit can mend a broken document.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, get_args, get_origin

from pydantic import BaseModel

from swapwright.model.build import Build, Fate, Option
from swapwright.model.documents import MODELS, Documents
from swapwright.model.ends import End, end_forms
from swapwright.model.faults import Fault, Faulty, nearest_name, quoted
from swapwright.model.reading import Path, Tree, branch
from swapwright.model.record import FactsOf
from swapwright.model.sheets import Part, Place, Port, Sheet
from swapwright.model.words import Kind

# What a text means where a record could stand.
SHORT: Mapping[type[BaseModel], str] = {
    Place: "words", Part: "label", Option: "label", Port: "there",
}  # fmt: skip
FOR_GOOD = ("format", "kind", "id")
FATE = "fate"  # car.tach.fate.until: the stated fate of a port, which stands in the build


@dataclass(frozen=True)
class Thing:
    """Something that can be changed: where it stands, and the record it is read as."""

    id: str
    file: str
    path: Path
    model: type[BaseModel]


@dataclass(frozen=True)
class Target:
    """One value of one thing."""

    thing: Thing
    path: Path
    what: str  # "kerb_mass", "end.barrel"
    is_list: bool = False
    is_end: bool = False
    dim: str = ""  # of an end form
    long_as: Mapping[Path, str] = field(default_factory=dict)  # name of what a short text said

    @property
    def file(self) -> str:
        """The document in which it stands."""
        return self.thing.file


@dataclass
class Things:
    """All that can be changed in the documents of one folder."""

    trees: dict[str, dict[str, Tree]]
    known: dict[str, Thing]
    renamed: dict[str, str]
    build: Thing | None = None

    def resolved(self, reference: str) -> str:
        """Follow former ids of a sheet and of what stands on it."""
        if reference in self.known:
            return reference
        reference = self.renamed.get(reference, reference)
        head, dot, rest = reference.partition(".")
        if dot and head in self.renamed:
            reference = f"{self.renamed[head]}.{rest}"
        return self.renamed.get(reference, reference)

    def at(self, file: str, path: Path) -> Tree:
        """What a document holds at a path."""
        return branch(self.trees[file], path)

    def port(self, reference: str) -> Thing | None:
        """The port of that id, now or formerly."""
        thing = self.known.get(self.resolved(reference))
        return thing if thing is not None and thing.model is Port else None

    def ports(self) -> list[str]:
        """Ids of all ports."""
        return [name for name, thing in self.known.items() if thing.model is Port]

    def fates_of(self, port: str) -> Iterator[tuple[int, dict[str, Tree]]]:
        """Stated fates of a port with their position in the build's list."""
        fates = self.at(self.build.file, ("fates",)) if self.build else None
        for i, fate in enumerate(fates if isinstance(fates, list) else []):
            if isinstance(fate, dict) and self.resolved(str(fate.get("port"))) == port:
                yield i, fate

    def joins_of(self, port: str) -> Iterator[tuple[str, dict[str, Tree]]]:
        """Joins that name a port."""
        joins = self.at(self.build.file, ("joins",)) if self.build else None
        for name, join in (joins if isinstance(joins, dict) else {}).items():
            ends = join.get("ends") if isinstance(join, dict) else None
            named = [self.resolved(str(end)) for end in (ends if isinstance(ends, list) else [])]
            if isinstance(join, dict) and port in named:
                yield name, join


def things(documents: Documents) -> Things:
    """List what can be changed."""
    found = Things({}, {}, {})
    for file, source in documents.sources.items():
        tree = source.tree
        kind = tree.get("kind") if isinstance(tree, dict) else None
        if isinstance(tree, dict) and isinstance(kind, str) and kind in list(Kind):
            found.trees[file] = tree
            _take(found, file, tree, MODELS[Kind(kind)])
    return found


def _take(found: Things, file: str, tree: dict[str, Tree], model: type[BaseModel]) -> None:
    document = str(tree.get("id"))
    top = Thing(document, file, (), model)
    found.known.setdefault(document, top)
    _rename(found, tree, "", document)
    if model is Build and found.build is None:
        found.build = top
        found.known.setdefault("build", top)
    for name, field_info in model.model_fields.items():
        inner = _mapped_record(field_info.annotation)
        held = tree.get(field_info.alias or name)
        if inner is None or not isinstance(held, dict):
            continue
        prefix = f"{document}." if issubclass(model, Sheet) else ""
        for key, below in held.items():
            thing = Thing(prefix + key, file, (field_info.alias or name, key), inner)
            found.known.setdefault(thing.id, thing)
            _rename(found, below, prefix, thing.id)


def _rename(found: Things, tree: Tree, prefix: str, now: str) -> None:
    former = tree.get("formerly") if isinstance(tree, dict) else None
    for old in former if isinstance(former, list) else []:
        found.renamed[prefix + str(old)] = now


def find(target: str, all_things: Things) -> Target:
    """Where the value of a target stands, or would stand.

    Raises
    ------
    Faulty
        When there is no such thing or no such name on it, with the nearest known one.
    """
    words = [word.strip() for word in target.split(".")]
    for length in (2, 1):
        thing = all_things.known.get(all_things.resolved(".".join(words[:length])))
        if thing is not None and len(words) > length:
            return _below(all_things, thing, words[length:], target)
        if thing is not None:
            names = [each for each in _names(thing.model) if each not in FOR_GOOD]
            few = ", ".join([*names, *_facts(thing.model)][:12])
            raise _no(target, quoted(target), f"{thing.id}.<name>, where name is one of: {few} …")
    known = [name for name in all_things.known if name != "build"]
    nearest = nearest_name(".".join(words[:-1]), known) or nearest_name(words[0], known)
    wanted = (
        "a sheet, sheet.port, sheet.part, join, job, stock, decision, step or item of this folder"
    )
    raise _no(target, quoted(target), wanted, nearest)


def _no(target: str, found: str, wanted: str, nearest: str = "") -> Faulty:
    return Faulty([Fault(target, None, None, "", found, wanted, nearest=nearest)])


def _below(all_things: Things, thing: Thing, words: list[str], target: str) -> Target:
    if thing.model is Port and words[0] == FATE and len(words) > 1:
        thing = _fate_of(all_things, thing, target)
        words = words[1:]
    elif thing.model is Port and len(words) == 1 and words[0] in _facts(Port):
        thing = _fact_of_fate(all_things, thing, words[0]) or thing
    path, long_as = thing.path, {}
    model: Any = thing.model
    if not thing.path and words[0] in FOR_GOOD:
        raise _no(
            target, quoted(words[0]), "a name that may change; ids are permanent, label may change"
        )
    while True:
        short = SHORT.get(model)
        if short is not None:
            long_as[path] = short
        name, rest = words[0], words[1:]
        field_info = _fields(model).get(name)
        if field_info is None:
            if name in _facts(model) and not rest:
                return Target(thing, (*path, "facts", name), name, long_as=long_as)
            known = [*_fields(model), *_facts(model), *_one_below(model)]
            wanted = f"a fact or field of {thing.id}"
            raise _no(target, quoted(name), wanted, nearest_name(name, known))
        path, annotation = (*path, name), field_info.annotation
        what = ".".join(str(step) for step in path[len(thing.path) :])
        if _holds(annotation, End):
            return _end_target(
                Target(thing, path, what, is_end=True, long_as=long_as), rest, target
            )
        if not rest:
            return _leaf(Target(thing, path, what, long_as=long_as), annotation, target)
        if name == "facts" and len(rest) == 1 and rest[0] in _facts(model):
            return Target(thing, (*path, rest[0]), rest[0], long_as=long_as)
        if _holds(annotation, Mapping) and name != "facts":
            inner = _mapped_record(annotation)
            if inner is None:
                key = ".".join(rest)
                return Target(thing, (*path, key), f"{what}.{key}", long_as=long_as)
            entries = all_things.at(thing.file, path)
            if not isinstance(entries, dict) or rest[0] not in entries or len(rest) == 1:
                known = [f"{each}.<name>" for each in entries] if isinstance(entries, dict) else []
                wanted = f"an entry of {what} that is there, and a name on it"
                raise _no(target, quoted(".".join(rest)), wanted, nearest_name(rest[0], known))
            model, words, path = inner, rest[1:], (*path, rest[0])
            continue
        model, words = _record(annotation), rest
        if model is None:
            wanted = f"nothing below {what}" if name != "facts" else f"a fact of {thing.id}"
            nearest = nearest_name(rest[0], _facts(thing.model))
            raise _no(target, quoted(".".join(rest)), wanted, nearest)
        long_as.setdefault(path, "")


def _leaf(target: Target, annotation: Any, asked: str) -> Target:
    record = _record(annotation)
    if _holds(annotation, tuple):
        return Target(target.thing, target.path, target.what, True, long_as=target.long_as)
    if record is not None and record in SHORT:
        return Target(target.thing, target.path, target.what,
                      long_as={**target.long_as, target.path: SHORT[record]})  # fmt: skip
    if record is not None and type(None) in get_args(annotation):
        return target
    if _holds(annotation, Mapping) or record is not None:
        names = _names(record) if record else ["<name>"]
        raise _no(asked, quoted(asked), f"{asked}.{names[0]} or another single value below it")
    return target


def _end_target(target: Target, rest: list[str], asked: str) -> Target:
    if not rest:
        return target
    dims = {dim for form in end_forms().values() for dim in form.dims} | {
        "form",
        "half",
        "material",
    }
    if len(rest) > 1 or rest[0] not in dims:
        raise _no(
            asked, quoted(".".join(rest)), "a dimension of an end", nearest_name(rest[0], dims)
        )
    return Target(target.thing, target.path, f"end.{rest[0]}", dim=rest[0], is_end=True,
                  long_as=target.long_as)  # fmt: skip


def _fate_of(all_things: Things, port: Thing, target: str) -> Thing:
    fates = list(all_things.fates_of(port.id))
    if not fates or all_things.build is None:
        found = f"{port.id} without a stated fate"
        raise _no(target, found, f"one that is capped, parked, kept …: close {port.id} first")
    return Thing(port.id, all_things.build.file, ("fates", fates[-1][0]), Fate)


def _fact_of_fate(all_things: Things, port: Thing, name: str) -> Thing | None:
    # The fate that holds wins over the sheet, so that is where the value has to change.
    for i, fate in reversed(list(all_things.fates_of(port.id))):
        facts = fate.get("facts")
        if isinstance(facts, dict) and name in facts and all_things.build is not None:
            return Thing(port.id, all_things.build.file, ("fates", i), Fate)
    return None


# -- what records are made of ------------------------------------------------------


def _fields(model: type[BaseModel]) -> dict[str, Any]:
    return {info.alias or name: info for name, info in model.model_fields.items()}


def _names(model: type[BaseModel]) -> list[str]:
    return list(_fields(model))


def _one_below(model: type[BaseModel]) -> list[str]:
    """Names one step further down, for a path that left a step out."""
    below = {name: _record(info.annotation) for name, info in _fields(model).items()}
    return [f"{name}.{each}" for name, inner in below.items() if inner for each in _names(inner)]


def _facts(model: type[BaseModel]) -> tuple[str, ...]:
    info = model.model_fields.get("facts")
    held = (
        next((each for each in info.metadata if isinstance(each, FactsOf)), None) if info else None
    )
    return held.known if held else ()


def _holds(annotation: Any, wanted: type) -> bool:
    origin = get_origin(annotation)
    if origin is not None and isinstance(origin, type) and issubclass(origin, wanted):
        return True
    if annotation is wanted:
        return True
    if origin is not None and isinstance(origin, type) and issubclass(origin, Mapping | tuple):
        return False
    return any(_holds(each, wanted) for each in get_args(annotation))


def _record(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if _holds(annotation, Mapping) or _holds(annotation, tuple):
        return None
    return next((found for each in get_args(annotation) if (found := _record(each))), None)


def _mapped_record(annotation: Any) -> type[BaseModel] | None:
    if not _holds(annotation, Mapping):
        return None
    args = get_args(annotation)
    inner = args[-1] if args else None
    return inner if isinstance(inner, type) and issubclass(inner, BaseModel) else None
