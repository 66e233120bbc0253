"""How long a command takes against what no Python program of this kind can avoid.

Run: python benchmarks/bench_start.py
Prints medians of whole processes and their ratios, interleaved in one run:
``swapwright --version`` against a bare interpreter (wanted: under 6), and
``swapwright assess`` on the demo van against importing numpy and pydantic (wanted: under 4).
"""

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROUNDS = 15
WARM_UP = 2


def commands(folder: Path) -> dict[str, list[str]]:
    """What is timed, by name."""
    python = sys.executable
    swapwright = shutil.which("swapwright", path=str(Path(python).parent))
    start = [swapwright] if swapwright else [python, "-m", "swapwright"]
    return {
        "bare Python": [python, "-c", "pass"],
        "--version": [*start, "--version"],
        "import numpy, pydantic": [python, "-c", "import numpy, pydantic"],
        "assess the van": [*start, "assess", "--build", str(folder)],
    }


def seconds(command: list[str]) -> float:
    """Wall time of one whole process; assess may end with status 1."""
    begin = time.perf_counter()
    done = subprocess.run(command, capture_output=True, check=False)
    spent = time.perf_counter() - begin
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr.decode())
    return spent


def main() -> None:
    """Time all commands in turn and print medians and ratios."""
    with tempfile.TemporaryDirectory() as holder:
        folder = Path(holder) / "van"
        from swapwright.library.demos import copy_demo

        copy_demo("van", folder)
        timed = commands(folder)
        spent: dict[str, list[float]] = {name: [] for name in timed}
        for round_number in range(ROUNDS + WARM_UP):
            for name, command in timed.items():
                took = seconds(command)
                if round_number >= WARM_UP:
                    spent[name].append(took)
    median = {name: statistics.median(times) for name, times in spent.items()}
    for name, times in spent.items():
        print(f"{name:<24} {1000 * median[name]:8.1f} ms  (least {1000 * min(times):.1f})")
    for name, against, wanted in (
        ("--version", "bare Python", 6),
        ("assess the van", "import numpy, pydantic", 4),
    ):
        ratio = median[name] / median[against]
        print(f"{name} / {against}: {ratio:.1f} (wanted: under {wanted})")


if __name__ == "__main__":
    main()
