import subprocess
import sys

HEAVY = (
    "pydantic",
    "numpy",
    "csv",
    "difflib",
    "fractions",
    "importlib.resources",
    "swapwright.model",
)


def test_import_pays_only_for_what_it_uses() -> None:
    # A fresh interpreter without site packages' start-up files: theirs do not count.
    lines = (
        "import sys; before = set(sys.modules); import swapwright.quantity;"
        f"print(*[name for name in {HEAVY!r} if name in set(sys.modules) - before])"
    )
    done = subprocess.run([sys.executable, "-c", lines], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
