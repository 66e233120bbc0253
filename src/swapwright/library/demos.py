"""Demo builds that ship, copied to a folder of the user's. All names and numbers are invented."""

from collections.abc import Mapping
from functools import cache
from importlib.resources.abc import Traversable
from pathlib import Path

from swapwright.model.faults import Fault, Faulty, nearest_name, quoted
from swapwright.model.shipped import shipped, shipped_text

MARK = ".swapwright-demo"  # marks a folder that may be replaced, and names what was copied


@cache
def demos() -> Mapping[str, Traversable]:
    """Folders of the demos by name, in the order of ``library/demos/order.csv``."""
    root = shipped("swapwright.library", "demos")
    lines = shipped_text("swapwright.library", "demos", "order.csv").splitlines()
    names = [line.strip() for line in lines if line.strip() and not line.startswith("#")][1:]
    return {name: root.joinpath(name) for name in names}


def first_demo() -> str:
    """Name of the demo that is meant when none is named."""
    return next(iter(demos()))


def copy_demo(name: str, folder: Path, again: bool = False) -> None:
    """Copy a demo to a folder that is new, empty, or (``again``) an earlier copy.

    Raises
    ------
    Faulty
        For an unknown demo or a folder in other use.
    """
    if name not in demos():
        wanted = "a demo: " + ", ".join(demos())
        nearest = nearest_name(name, demos())
        raise Faulty([Fault("demo", None, None, "", quoted(name), wanted, "", nearest)])
    mine = folder.is_dir() and (folder / MARK).exists()
    in_use = folder.exists() and (not folder.is_dir() or any(folder.iterdir()))
    if in_use and not (again and mine):
        wanted = "a folder that is new or empty" + ("" if again else "; --again replaces a demo")
        raise Faulty([Fault(str(folder), None, None, "", "something in it", wanted, "my-demo")])
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _take_away_copies(folder)
        documents = [each for each in demos()[name].iterdir() if each.name.endswith(".yaml")]
        lines = ("A copied demo; demo --again replaces its files:", *(d.name for d in documents))
        (folder / MARK).write_text("\n".join(lines) + "\n", "utf-8")
        for each in documents:
            (folder / each.name).write_bytes(each.read_bytes())
    except OSError as error:
        found = error.strerror or "an error while writing"
        raise Faulty([Fault(str(folder), None, None, "", found, "a folder to write to")]) from None


def _take_away_copies(folder: Path) -> None:
    """Documents of another demo would make two builds in one folder."""
    mark = folder / MARK
    for name in mark.read_text("utf-8", "replace").splitlines()[1:] if mark.exists() else ():
        if name.endswith(".yaml") and Path(name).name == name:
            (folder / name).unlink(missing_ok=True)
