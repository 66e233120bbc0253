"""Loose ends beside the crossings: what is easily forgotten, each with a way to close it."""

from collections.abc import Iterator
from dataclasses import dataclass

from swapwright.model.assembly import Assembly
from swapwright.model.message import Message
from swapwright.model.values import far_apart, readings_behind
from swapwright.model.words import FateWord, Service, Side, SmallPart

UNSOUND = {
    SmallPart.LOST: "is lost",
    SmallPart.REUSED: "was used before",
    SmallPart.UNKNOWN: "was not looked for yet",
}


@dataclass(frozen=True)
class LooseEnd:
    """One thing that may be forgotten."""

    id: str
    kind: str  # other loom, unidentified, second function, small part, broken part, far apart
    subject: str
    what: Message
    close: Message


def loose_ends(assembly: Assembly) -> tuple[LooseEnd, ...]:
    """All loose ends, in the order of the documents."""
    kinds = (_other_loom, _unidentified, _second_functions, _small_parts, _broken, _far_apart)
    return tuple(each for kind in kinds for each in kind(assembly))


def _other_loom(assembly: Assembly) -> Iterator[LooseEnd]:
    for port in assembly.ports.values():
        plug = port.record.plug
        if port.side is Side.OUTGOING or port.there == "no" or plug is None or not plug.mate:
            continue
        if plug.mate_seen.content is not True and assembly.fate(port.id) is FateWord.OPEN:
            yield LooseEnd(
                f"other loom/{port.id}",
                "other loom",
                port.id,
                Message(
                    "{label} ({port}): its other half, on {loom}, was not seen yet",
                    {"label": port.label, "port": port.id, "loom": plug.mate},
                ),
                Message(
                    "look on {loom}; photograph both halves, pin side; then set"
                    " PORT.plug.mate_seen yes",
                    {"loom": plug.mate},
                ),
            )


def _unidentified(assembly: Assembly) -> Iterator[LooseEnd]:
    for port in assembly.ports.values():
        if (
            port.side is not Side.OUTGOING
            and port.there != "no"
            and port.service is Service.UNKNOWN
        ):
            yield LooseEnd(
                f"unidentified/{port.id}",
                "unidentified",
                port.id,
                Message("{label}: not known what it carries", {"label": port.label}),
                Message(
                    "note what can be seen cold, then swapwright identify {port}", {"port": port.id}
                ),
            )


def _second_functions(assembly: Assembly) -> Iterator[LooseEnd]:
    touched = {assembly.resolve(what) for step in assembly.steps.values() for what in step.what}
    for part in assembly.parts.values():
        leaves = part.side is Side.OUTGOING or part.id in touched
        for function in part.functions if leaves and len(part.functions) > 1 else ():
            if f"{part.id}.{function}" not in assembly.function_places:
                yield LooseEnd(
                    f"second function/{part.id}.{function}",
                    "second function",
                    part.id,
                    Message(
                        "{label} also serves as {function}; nothing takes that over yet",
                        {"label": part.label, "function": function},
                    ),
                    Message(
                        "say under functions where it goes: {key}", {"key": f"{part.id}.{function}"}
                    ),
                )


def _small_parts(assembly: Assembly) -> Iterator[LooseEnd]:
    for join in assembly.joins.values():
        for name, state in join.record.small.items():
            if state in UNSOUND:
                yield LooseEnd(
                    f"small part/{join.id}.{name}",
                    "small part",
                    join.id,
                    Message(
                        "{label}: {part} " + UNSOUND[state],
                        {"label": assembly.label(join.id), "part": name},
                    ),
                    Message(
                        "look for it, then say have or lost"
                        if state is SmallPart.UNKNOWN
                        else "order it, or take a new one; never a used crush washer on pressure"
                    ),
                )


def _broken(assembly: Assembly) -> Iterator[LooseEnd]:
    for name, stock in assembly.stock.items():
        what = stock.label or name
        if stock.state.value == "damaged":
            yield LooseEnd(
                f"broken part/{name}",
                "broken part",
                name,
                Message("{what} arrived damaged", {"what": what}),
                Message(
                    "claim it in time with photographs; find another, or say what stands in", {}
                ),
            )
        for missing in stock.missing:
            yield LooseEnd(
                f"broken part/{name}.{missing}",
                "broken part",
                name,
                Message("{what} came without its {missing}", {"what": what, "missing": missing}),
                Message("ask for it, or order one", {}),
            )


def _far_apart(assembly: Assembly) -> Iterator[LooseEnd]:
    """Readings of one thing of which one must be wrong: their mean is worth nothing."""
    stated = {
        f"{holder.id}.{name}": value
        for holder in assembly.holders.values()
        for name, value in holder.facts.items()
    }
    for name, value in (stated | dict(assembly.readings)).items():
        apart = far_apart(readings_behind(value))
        if apart is not None:
            yield LooseEnd(
                f"far apart/{name}",
                "far apart",
                name.rpartition(".")[0].removesuffix(".end"),
                Message(
                    "readings of {name} lie far apart, from {least} to {most}",
                    {"name": name, "least": apart[0], "most": apart[1]},
                ),
                Message("measure again, and take the wrong reading out of the build", {}),
            )
