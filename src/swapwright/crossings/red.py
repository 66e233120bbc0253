"""Red lines of one build: open until proved, and open again when a join of theirs changes."""

from dataclasses import dataclass
from hashlib import sha256

from swapwright.library.risks import RedLine, red_lines
from swapwright.model.assembly import AssembledJoin, AssembledPort, Assembly
from swapwright.model.build import RedLineProof


@dataclass(frozen=True)
class RedLineState:
    """One red line and how it stands."""

    line: RedLine
    ports: tuple[str, ...]
    proof: RedLineProof | None
    lapsed: bool  # it was proved, but a join of its ports has changed since

    @property
    def proved(self) -> bool:
        """True while its proof holds."""
        return self.proof is not None and not self.lapsed


def red_line_states(assembly: Assembly) -> tuple[RedLineState, ...]:
    """The red lines that concern this build, in their order."""
    states = []
    for line in red_lines().values():
        ports = _ports(assembly, line)
        if ports or line.always:
            proof = assembly.build.red_lines.get(line.id)
            lapsed = proof is not None and proof.digest != red_line_digest(assembly, line)
            states.append(RedLineState(line, tuple(p.id for p in ports), proof, lapsed))
    return tuple(states)


def red_line_digest(assembly: Assembly, line: RedLine) -> str:
    """Fingerprint of the joins and fates that a proof was made on, at all stages.

    Progress, proofs, reasons, prices and notes are not part of it: they change nothing on the car.
    """
    ports = {port.id for port in _ports(assembly, line)}
    rows = [f"port {port}" for port in ports]
    for fate in assembly.build.fates:
        port = assembly.resolve(fate.port)
        if port in ports:
            rows.append(f"fate {port} {fate.fate} from {fate.start} to {fate.to}")
    rows += [_told(join) for join in assembly.joins.values() if ports & {e.id for e in join.ends}]
    return sha256("\n".join(sorted(rows)).encode()).hexdigest()[:16]


def _told(join: AssembledJoin) -> str:
    record, stand_in = join.record, join.record.stand_in
    small = sorted(f"{name} {state}" for name, state in record.small.items())
    ends = sorted(end.id for end in join.ends)
    return " | ".join(
        [
            f"join {join.id} from {record.start} to {record.end}",
            *ends,
            *join.pieces,
            *small,
            f"stand-in {stand_in.item}" if stand_in is not None else "",
        ]
    )


def _ports(assembly: Assembly, line: RedLine) -> tuple[AssembledPort, ...]:
    return tuple(
        port
        for port in assembly.ports.values()
        if port.family is not None
        and port.family.id in line.families
        and port.there != "no"
        and port.side.value in ("car", "newcomer")
    )
