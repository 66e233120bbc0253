"""Documents of one build: from text to records, with every fault at its place."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from types import UnionType
from typing import Annotated, Any, TypeAlias, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from swapwright.model.build import Build
from swapwright.model.faults import Fault, nearest_name, quoted
from swapwright.model.migrate import FORMAT, migrated
from swapwright.model.reading import Path, Source, Tree, branch, read_source
from swapwright.model.sheets import Catalogue, Engine, Gearbox, PartSheet, Vehicle
from swapwright.model.words import Kind

AnyDocument: TypeAlias = Vehicle | Engine | Gearbox | PartSheet | Catalogue | Build
MODELS: Mapping[Kind, type[AnyDocument]] = {
    Kind.VEHICLE: Vehicle,
    Kind.ENGINE: Engine,
    Kind.GEARBOX: Gearbox,
    Kind.PART: PartSheet,
    Kind.CATALOGUE: Catalogue,
    Kind.BUILD: Build,
}
MOST_FILES = 500
MOST_PRUNINGS = 8
STAGES = ("from", "to")


@dataclass
class Documents:
    """All documents of one build, those that could be read, and all faults.

    A document with faults stands among the records without its faulty pieces, so that
    references are checked in the same run; nothing is assembled while there are faults.
    """

    sources: dict[str, Source] = field(default_factory=dict)  # by file
    records: dict[str, AnyDocument] = field(default_factory=dict)  # by file
    faults: list[Fault] = field(default_factory=list)
    torn: set[str] = field(default_factory=set)  # ids of what is there but could not be read

    @property
    def by_id(self) -> dict[str, AnyDocument]:
        """Records by document id; of two with one id, the first (told as a fault)."""
        found: dict[str, AnyDocument] = {}
        for record in self.records.values():
            found.setdefault(record.id, record)
        return found

    @property
    def build(self) -> Build | None:
        """The build document, when there is exactly one that could be read."""
        builds = [each for each in self.records.values() if isinstance(each, Build)]
        return builds[0] if len(builds) == 1 else None

    def source_of(self, document_id: str) -> Source:
        """The source in which a document stands."""
        for file, record in self.records.items():
            if record.id == document_id:
                return self.sources[file]
        raise KeyError(document_id)

    def fault(self, document_id: str, path: Path, found: str, wanted: str, **more: str) -> None:
        """Note a fault at a place of one document."""
        self.faults.append(self.source_of(document_id).fault(path, found, wanted, **more))


def document_files(folder: FilePath) -> list[FilePath]:
    """The YAML files of a build folder, in a stable order; hidden folders left out."""
    return sorted(
        path
        for pattern in ("*.yaml", "*.yml")
        for path in folder.rglob(pattern)
        if path.is_file()
        and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    )


def read_folder(folder: FilePath) -> Documents:
    """Read all documents of a build folder; never raises for what a person can cause."""
    if not folder.is_dir():
        return _nothing(str(folder), "no such folder" if not folder.exists() else "a file")
    files = document_files(folder)
    if not files:
        return _nothing(str(folder), "a folder without a *.yaml file")
    if len(files) > MOST_FILES:
        return _nothing(str(folder), f"{len(files)} YAML files", f"at most {MOST_FILES}")
    texts: list[tuple[str, bytes | OSError]] = []
    for path in files:
        try:
            texts.append((path.relative_to(folder).as_posix(), path.read_bytes()))
        except OSError as error:
            texts.append((path.relative_to(folder).as_posix(), error))
    return read_documents(texts)


def _nothing(place: str, found: str, wanted: str = "a build folder") -> Documents:
    fault = Fault(place, None, None, "", found, wanted, "swapwright begin my-build makes one")
    return Documents(faults=[fault])


def read_documents(texts: Iterable[tuple[str, bytes | OSError]]) -> Documents:
    """Read documents given as (file name, bytes)."""
    documents = Documents()
    for file, raw in texts:
        if isinstance(raw, OSError):
            found = raw.strerror or "an error while reading"
            documents.faults.append(Fault(file, None, None, "", found, "a file that can be read"))
            continue
        source = read_source(file, raw)
        documents.sources[file] = source
        documents.faults.extend(source.faults)
        if source.tree is not None:
            _validate(documents, source)
        if file not in documents.records:
            named = branch(source.tree, ("id",))
            documents.torn.add(named if isinstance(named, str) else FilePath(file).stem)
    _refuse_clashes(documents)
    return documents


def _validate(documents: Documents, source: Source) -> None:
    tree = source.tree
    if not isinstance(tree, dict):
        documents.faults.append(
            source.fault((), "a list or a text", "format, kind and id at the top", "kind: build")
        )
        return
    kind = _kind(documents, source)
    if kind is None:
        return
    tree, fault = migrated(source, tree)
    if fault is not None:
        documents.faults.append(fault)
        return
    try:
        documents.records[source.file] = MODELS[kind].model_validate(tree)
    except ValidationError as error:
        seen: set[tuple[str, str]] = set()
        for detail in error.errors(include_url=False):
            found = _as_fault(source, MODELS[kind], detail)
            if (found.path, found.found) not in seen:
                seen.add((found.path, found.found))
                documents.faults.append(found)
        _keep_rest(documents, source, MODELS[kind], tree)


def _keep_rest(
    documents: Documents, source: Source, model: type[AnyDocument], tree: dict[str, Tree]
) -> None:
    """Keep a document without its faulty pieces; give up when too little is left."""
    for _ in range(MOST_PRUNINGS):
        try:
            documents.records[source.file] = model.model_validate(tree)
            return
        except ValidationError as error:
            paths = {_document_path(source, each["loc"]) for each in error.errors()}
        for path in paths:
            whole = _cut(tree, path)
            if whole:
                documents.torn |= _torn_by(tree, whole)
                tree = _without(tree, whole)


def _cut(tree: Tree, path: Path) -> Path:
    """The piece to leave out: what stands at the path, or the first list on the way to it.

    A list goes as a whole, since its entries are told by their position. What is
    missing takes the record with it that lacks it.
    """
    if path and path[-1] in STAGES:  # left out, a stage would count as the first
        path = path[:-1]
    for length in range(1, len(path) + 1):
        held = branch(tree, path[: length - 1])
        if isinstance(held, list):
            return path[: length - 1]
        if not isinstance(held, dict) or path[length - 1] not in held:
            return path[: length - 1]
    return path


def _torn_by(tree: dict[str, Tree], whole: Path) -> set[str]:
    """Ids of what loses something when a piece is left out."""
    document = str(tree.get("id"))
    if len(whole) > 1:
        return {str(whole[1]), f"{document}.{whole[1]}"}
    held = tree.get(str(whole[0]))
    named = set(held) if isinstance(held, dict) else set()
    return named | ({document} if whole[0] in ("ports", "parts") else set())


def _without(tree: Tree, path: Path) -> dict[str, Tree]:
    assert isinstance(tree, dict)
    step = str(path[0])
    if len(path) == 1:
        return {key: held for key, held in tree.items() if key != step}
    return {**tree, step: _without(tree[step], path[1:])}


def _kind(documents: Documents, source: Source) -> Kind | None:
    word = branch(source.tree, ("kind",))
    if isinstance(word, str) and word in list(Kind):
        return Kind(word)
    kinds = ", ".join(Kind)
    if word is None:
        documents.faults.append(source.fault((), "no kind", f"one of: {kinds}", "kind: vehicle"))
    else:
        nearest = nearest_name(word, list(Kind)) if isinstance(word, str) else ""
        found = quoted(word) if isinstance(word, str) else _shape(word)
        documents.faults.append(
            source.fault(("kind",), found, f"one of: {kinds}", "kind: vehicle", nearest)
        )
    return None


def _as_fault(source: Source, model: type[BaseModel], detail: ErrorDetails) -> Fault:
    path = _document_path(source, detail["loc"])
    context = detail.get("ctx") or {}
    if detail["type"] == "said_wrong":
        return source.fault(
            path, context["found"], context["wanted"], context["example"], context["nearest"]
        )
    held = branch(source.tree, path)
    if detail["type"] == "extra_forbidden":
        known = _names_at(model, path[:-1])
        return source.fault(
            path, f"an unknown name {quoted(path[-1])}", "one of: " + ", ".join(known),
            nearest=nearest_name(str(path[-1]), known),
        )  # fmt: skip
    if detail["type"] == "missing" and isinstance(path[-1], int):
        above = branch(source.tree, path[:-1])
        count = len(above) if isinstance(above, list) else 0
        wanted = f"{_entries_at(model, path[:-1]) or 'more'} entries"
        return source.fault(
            path[:-1], f"a list of {count}", wanted, EXAMPLES.get(str(path[-2]), "")
        )
    if detail["type"] == "missing":
        return source.fault(
            path[:-1], f"no {path[-1]}", f"{path[-1]}", EXAMPLES.get(str(path[-1]), "")
        )
    found = quoted(held) if isinstance(held, str) else _shape(held)
    wanted, choices = _wanted(detail["type"], context, detail["msg"])
    return source.fault(path, found, wanted, nearest=nearest_name(str(held), choices))


EXAMPLES = {
    "id": "id: my-van", "format": 'format: 1', "recipient": "recipient: my-van",
    "ends": "ends: [engine.hot, car.hot]", "port": "port: engine.hot",
    "question": "question: keep the tap?",
    "reason": "reason: checked by hand", "on": "on: 2026-05-02", "of": "of: car.hot.end.barrel",
}  # fmt: skip


def _shape(held: object) -> str:
    if held is None:
        return "nothing"
    return (
        "a list"
        if isinstance(held, list)
        else "several named values"
        if isinstance(held, dict)
        else quoted(held)
    )


def _wanted(sort: str, context: Mapping[str, Any], message: str) -> tuple[str, list[str]]:
    expected = context.get("expected")
    if expected:
        # "'a', 'b' or 'c'", and of words of an enumeration "<Word.A: 'a'>, …"
        choices = re.findall(r"'([^']*)'", str(expected))
        return ("one of: " if len(choices) > 1 else "") + ", ".join(choices), choices
    plain = {
        "string_type": "a text",
        "tuple_type": "a list",
        "mapping_type": "values by name",
        "model_type": "values by name",
        "dict_type": "values by name",
        "too_short": f"{context.get('min_length', '')} entries",
        "too_long": f"at most {context.get('max_length', '')} entries",
        "float_parsing": "a plain number",
        "float_type": "a plain number",
    }
    return plain.get(sort, message[:1].lower() + message[1:]), []


def _document_path(source: Source, loc: tuple[int | str, ...]) -> Path:
    # pydantic adds steps of its own ("[key]", names of union members): keep those of the document.
    path: Path = ()
    for step in loc:
        if step == "[key]":
            continue
        held = branch(source.tree, path)
        fits = isinstance(held, dict | list) or not path
        if fits and (not isinstance(held, list) or isinstance(step, int)):
            path = (*path, step)
    return path


def _names_at(model: Any, path: Path) -> list[str]:
    """Field names of the record that stands at ``path`` below ``model``."""
    at: Any = model
    for step in path:
        at = _below(at, step)
    at = _record_in(at)
    return [field.alias or name for name, field in at.model_fields.items()] if at else []


def _entries_at(model: Any, path: Path) -> int:
    """How many entries the list at ``path`` below ``model`` must have; 0 for any number."""
    at: Any = model
    for step in path:
        at = _below(at, step)
    found = next((each for each in (at, *get_args(at)) if get_origin(each) is tuple), None)
    args = get_args(found)
    return 0 if Ellipsis in args else len(args)


def _record_in(at: Any) -> type[BaseModel] | None:
    if isinstance(at, type) and issubclass(at, BaseModel):
        return at
    return next((found for each in get_args(at) if (found := _record_in(each))), None)


def _below(at: Any, step: str | int) -> Any:
    if isinstance(at, type) and issubclass(at, BaseModel):
        for name, each in at.model_fields.items():
            if step in (name, each.alias):
                return each.annotation
        return None
    origin, args = get_origin(at), get_args(at)
    if origin is Annotated:
        return _below(args[0], step)
    if origin in (Union, UnionType):
        return next((found for each in args if (found := _below(each, step))), None)
    if args:
        return args[-1] if isinstance(step, str) or args[-1] is not Ellipsis else args[0]
    return None


def _refuse_clashes(documents: Documents) -> None:
    first: dict[str, str] = {}
    for file, record in documents.records.items():
        if record.id in first:
            documents.faults.append(
                documents.sources[file].fault(
                    ("id",), quoted(record.id), f"an id of its own: {first[record.id]} has this one"
                )
            )
        first.setdefault(record.id, file)
    builds = [file for file, record in documents.records.items() if isinstance(record, Build)]
    for file in builds[1:]:
        documents.faults.append(
            documents.sources[file].fault(
                ("kind",), "a second build", f"one build a folder: {builds[0]} is one"
            )
        )
    if not builds and not any(
        branch(s.tree, ("kind",)) == Kind.BUILD for s in documents.sources.values()
    ):
        documents.faults.append(
            Fault(
                "the folder",
                None,
                None,
                "",
                "no build document",
                "one document with kind: build",
                "kind: build",
            )
        )


__all__ = ["FORMAT", "AnyDocument", "Documents", "document_files", "read_documents", "read_folder"]
