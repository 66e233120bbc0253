"""Writes docs/facts.md, docs/rules.md and docs/evidence.md from what ships and what is tested."""

import sys
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tools.evidence import evidence_page

from swapwright.findings.book import RULES
from swapwright.library.rulebook import limit_texts, rule_texts
from swapwright.model.facts import fact_book

DOCS = Path(__file__).parent.parent / "docs"


def facts_page() -> str:
    """All facts by subject."""
    return "\n".join(_facts()) + "\n"


def _facts() -> Iterator[str]:
    yield "# Facts"
    yield ""
    yield "What may be said under `facts:` of which subject, and how to find out."
    yield "Made by `tools/make_docs.py`; change `model/vocabulary/facts`."
    by_subject: dict[str, list[str]] = {}
    for name, fact in fact_book().items():
        by_subject.setdefault(", ".join(fact.of), []).append(name)
    for subject, names in sorted(by_subject.items()):
        yield f"\n## {subject}\n"
        yield "| fact | what | how to find out |"
        yield "| --- | --- | --- |"
        for name in sorted(names):
            fact = fact_book()[name]
            wanted = fact.sort.wanted.replace("|", "/")
            tool = f" ({fact.tool})" if fact.tool else ""
            yield f"| `{name}` | {wanted} | {fact.ask}{tool} |"


def rules_page() -> str:
    """All rules by system, those that wait marked."""
    return "\n".join(_rules()) + "\n"


def _rules() -> Iterator[str]:
    texts = rule_texts()
    waiting = [text for text in texts.values() if text.needs != "facts"]
    yield "# Rules"
    yield ""
    yield f"{len(RULES)} rules are checked now; {len(waiting)} wait for a computation to come."
    yield "Made by `tools/make_docs.py`; change `library/rules` and `library/limits`. A limit from"
    yield "memory alone never makes a stop; a build may set another limit with a reason."
    systems = dict.fromkeys(text.system for text in texts.values())
    for system in systems:
        yield f"\n## {system}\n"
        yield "| rule | urgency | gate | what it says | source | checked |"
        yield "| --- | --- | --- | --- | --- | --- |"
        for text in texts.values():
            if text.system == system:
                checked = "now" if text.needs == "facts" else f"waits: {text.needs}"
                says = text.message.replace("|", "/")
                when = f"{text.most_urgent} | {text.gate}"
                source = f"{text.source} ({text.rests_on})"
                yield f"| `{text.id}` | {when} | {says} | {source} | {checked} |"
    yield "\n## Limits\n"
    yield "| limit | value | source |"
    yield "| --- | --- | --- |"
    for limit in limit_texts().values():
        yield f"| `{limit.name}` | {limit.text} | {limit.source} ({limit.rests_on}) |"


PAGES = {"facts.md": facts_page, "rules.md": rules_page, "evidence.md": evidence_page}

if __name__ == "__main__":
    for name, page in PAGES.items():
        (DOCS / name).write_text(page(), encoding="utf-8", newline="\n")
