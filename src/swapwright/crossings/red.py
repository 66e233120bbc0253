"""Red lines of one build: open until proved, and open again when a join of theirs changes."""

from dataclasses import dataclass
from hashlib import sha256

from swapwright.library.risks import RedLine, red_lines
from swapwright.model.assembly import AssembledPort, Assembly
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
    """Fingerprint of the joins and fates a proof was made on; a later proof does not change it."""
    rows = []
    for port in _ports(assembly, line):
        rows.append(f"{port.id} {assembly.stated_fates.get(port.id)}")
    for join in assembly.joins.values():
        if {end.id for end in join.ends} & {port.id for port in _ports(assembly, line)}:
            record = join.record
            rows.append(
                f"{join.id} {record.ends} {record.through} {record.small} {record.stand_in}"
            )
    return sha256("\n".join(sorted(rows)).encode()).hexdigest()[:16]


def _ports(assembly: Assembly, line: RedLine) -> tuple[AssembledPort, ...]:
    return tuple(
        port
        for port in assembly.ports.values()
        if port.family is not None
        and port.family.id in line.families
        and port.there != "no"
        and port.side.value in ("car", "newcomer")
    )
