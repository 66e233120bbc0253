"""What a computation found, kept beside the build so that others tell it without computing.

Kept findings count only as long as every document is as it was then, for the same stage and the
same release of the program.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from swapwright import __version__
from swapwright.findings.run import FactUse, Finding, Question
from swapwright.library.rulebook import rule_texts
from swapwright.model.amount import Amount
from swapwright.model.assembly import Assembly
from swapwright.model.message import Message, Spoken
from swapwright.model.words import Signal, Urgency
from swapwright.quantity import Dimension

FILE = ".swapwright-computed.json"
FORM = 1  # of the file; another one is no longer read


@dataclass(frozen=True)
class Kept:
    """Findings of one computation that hold for the documents as they are."""

    findings: tuple[Finding, ...]


def fingerprint(assembly: Assembly, digests: Mapping[str, str]) -> str:
    """Of all documents, the stage and the program: the same as long as nothing changed."""
    parts = [f"{file}={digest}" for file, digest in sorted(digests.items())]
    stage = f"{assembly.stage} {assembly.as_it_stands}"
    return sha256("\n".join([str(FORM), __version__, stage, *parts]).encode()).hexdigest()


def keep(
    folder: Path, assembly: Assembly, digests: Mapping[str, str], found: Iterable[Finding]
) -> bool:
    """Write the findings of one computation; False where the folder cannot be written to."""
    held = _read(folder)
    held[_key(assembly)] = {
        "fingerprint": fingerprint(assembly, digests),
        "findings": [_plain(each) for each in found],
    }
    text = json.dumps({"form": FORM, "coolant": held}, indent=1, ensure_ascii=False)
    try:
        (folder / FILE).write_text(text + "\n", encoding="utf-8", newline="\n")
    except OSError:
        return False
    return True


def kept(folder: Path, assembly: Assembly, digests: Mapping[str, str]) -> Kept | None:
    """Findings that were kept for the documents as they are; None when none were."""
    held = _read(folder).get(_key(assembly))
    if not isinstance(held, dict) or held.get("fingerprint") != fingerprint(assembly, digests):
        return None
    try:
        return Kept(tuple(_finding(assembly, each) for each in held["findings"]))
    except (KeyError, TypeError, ValueError):  # somebody else's hand was in it
        return None


def _key(assembly: Assembly) -> str:
    return f"{assembly.stage}, {'as it stands' if assembly.as_it_stands else 'as planned'}"


def _read(folder: Path) -> dict[str, Any]:
    try:
        tree = json.loads((folder / FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(tree, dict) or tree.get("form") != FORM:
        return {}
    held = tree.get("coolant")
    return held if isinstance(held, dict) else {}


def _plain(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "subjects": list(finding.subjects),
        "urgency": str(finding.urgency),
        "signal": str(finding.signal) if finding.signal else None,
        "template": finding.message.template,
        "values": {name: _plain_value(held) for name, held in finding.message.values.items()},
        "sure": finding.sure,
        "rests_on": [[use.subject, use.name] for use in finding.rests_on],
        "asks": None
        if finding.asks is None
        else [finding.asks.subject, finding.asks.name, finding.asks.ask, finding.asks.tool],
    }


def _plain_value(held: Spoken) -> Any:
    if isinstance(held, Amount):
        return [held.nominal, held.uncertainty, str(held.dimension)]
    return str(held)


def _value(plain: Any) -> Spoken:
    if isinstance(plain, list):
        nominal, uncertainty, dimension = plain
        return Amount(float(nominal), float(uncertainty), Dimension(dimension))
    return str(plain)


def _finding(assembly: Assembly, plain: Mapping[str, Any]) -> Finding:
    text = rule_texts()[plain["rule"]]
    question = Question(*plain["asks"]) if plain["asks"] else None
    urgency = Urgency(plain["urgency"])
    subjects = tuple(str(each) for each in plain["subjects"])
    told = {str(name): _value(held) for name, held in plain["values"].items()}
    uses = tuple(
        FactUse(subject, name, assembly.fact(subject, name)) for subject, name in plain["rests_on"]
    )
    return Finding(
        id=f"{text.id}/{subjects[0]}", rule=text.id, urgency=urgency,
        signal=Signal(plain["signal"]) if plain["signal"] else None, subjects=subjects,
        stage=assembly.stage, gate=text.gate, near=assembly.near(text.gate),
        message=Message(str(plain["template"]), told), why=text.why,
        remedy=question.ask if question else text.remedy,
        act=question.ask if question else text.act, source=text.source, rests_on=uses,
        memory_limits=(), sure=plain["sure"],
        would_be=text.most_urgent if question else urgency, asks=question,
    )  # fmt: skip
