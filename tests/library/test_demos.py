"""Copies of demos in a folder of the user's."""

from pathlib import Path

from swapwright.library.demos import copy_demo, demos
from swapwright.model.documents import document_files


def names(folder: Path) -> set[str]:
    return {path.name for path in document_files(folder)}


def test_another_demo_takes_the_place_of_an_earlier_copy(tmp_path: Path) -> None:
    """Two demos in one folder would be two builds; what the user added stays."""
    shipped = {
        name: {each.name for each in place.iterdir() if each.name.endswith(".yaml")}
        for name, place in demos().items()
    }
    first, second = list(shipped)[:2]
    copy_demo(first, tmp_path)
    assert names(tmp_path) == shipped[first] != shipped[second]
    (tmp_path / "mine.yaml").write_text("mine", "utf-8")
    copy_demo(second, tmp_path, again=True)
    assert names(tmp_path) == shipped[second] | {"mine.yaml"}


def test_a_mangled_mark_takes_nothing_outside_the_folder(tmp_path: Path) -> None:
    outside = tmp_path / "outside.yaml"
    outside.write_text("mine", "utf-8")
    folder = tmp_path / "demo"
    name = next(iter(demos()))
    copy_demo(name, folder)
    mark = folder / ".swapwright-demo"
    mark.write_bytes(
        mark.read_bytes() + b"../outside.yaml\n" + bytes(str(outside), "utf-8") + b"\n\xff"
    )
    copy_demo(name, folder, again=True)
    assert outside.read_text("utf-8") == "mine"
