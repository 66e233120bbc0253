"""Findings told together that one act settles; ten groups are shown, a stop always."""

from collections.abc import Iterable
from dataclasses import dataclass

from swapwright.findings.run import Finding
from swapwright.model.words import Urgency

SHOWN = 10


@dataclass(frozen=True)
class Group:
    """Findings that one act settles, the worst first."""

    act: str
    findings: tuple[Finding, ...]

    @property
    def worst(self) -> Finding:
        """The one that decides where the group stands."""
        return self.findings[0]


def groups(findings: Iterable[Finding]) -> tuple[Group, ...]:
    """Group findings by the act that settles them, in the order of their worst member."""
    by_act: dict[tuple[bool, str], list[Finding]] = {}
    for finding in findings:
        by_act.setdefault((finding.urgency is Urgency.ASK, finding.act), []).append(finding)
    return tuple(Group(act, tuple(members)) for (_, act), members in by_act.items())


def to_show(findings: Iterable[Finding], most: int = SHOWN) -> tuple[tuple[Group, ...], int]:
    """The groups to show first, and how many more there are.

    Accepted findings and quiet questions are left out, but a stop never is.
    """
    told = [
        each
        for each in findings
        if each.urgency is Urgency.STOP or (each.accepted is None and not each.quiet)
    ]
    all_groups = groups(told)
    shown = [g for i, g in enumerate(all_groups) if i < most or g.worst.urgency is Urgency.STOP]
    return tuple(shown), len(all_groups) - len(shown)
