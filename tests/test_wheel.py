"""The wheel holds all that the package reads, and nothing of the machine that built it."""

import re
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "swapwright"
# People's and scratch folders on the common systems; a web address may hold "/home/" too,
# hence no letter before the slash.
MACHINE_PATH = re.compile(rb"(?<![\w.])(?:/(?:home|root|Users|tmp)/\w|[A-Za-z]:\\Users\\)")


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, bytes]:
    """Every file of a freshly built wheel by its name; what the build needs is in the lock."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder)]
    built = subprocess.run([*command, str(ROOT)], capture_output=True, encoding="utf-8")
    assert built.returncode == 0, built.stdout + built.stderr
    (wheel,) = folder.glob("*.whl")
    return unpack(wheel, folder / "unpacked")


def unpack(wheel: Path, folder: Path) -> Mapping[str, bytes]:
    """Unpack with the standard library's own tool and read every file back."""
    subprocess.run([sys.executable, "-m", "zipfile", "-e", str(wheel), str(folder)], check=True)
    return read_folder(folder)


def read_folder(folder: Path) -> Mapping[str, bytes]:
    """Every file below ``folder`` by its name from there, without Python's own cache."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


def missing_or_changed(source: Mapping[str, bytes], packed: Mapping[str, bytes]) -> tuple[str, ...]:
    """Source files that the wheel lacks or holds with other bytes."""
    return tuple(name for name, content in source.items() if packed.get(name) != content)


def naming_a_machine(packed: Mapping[str, bytes]) -> tuple[str, ...]:
    """Files that name this checkout's folder or any person's or scratch folder."""
    here = bytes(ROOT)
    return tuple(
        name for name, content in packed.items() if here in content or MACHINE_PATH.search(content)
    )


@pytest.mark.slow
def test_wheel_holds_every_file_of_the_package(packed: Mapping[str, bytes]) -> None:
    source = {f"swapwright/{name}": content for name, content in read_folder(SOURCE).items()}
    assert "swapwright/py.typed" in source
    assert missing_or_changed(source, packed) == ()


@pytest.mark.slow
def test_wheel_names_no_machine(packed: Mapping[str, bytes]) -> None:
    assert naming_a_machine(packed) == ()


@pytest.mark.slow
def test_wheel_says_name_licence_and_command(packed: Mapping[str, bytes]) -> None:
    (metadata,) = (text for name, text in packed.items() if name.endswith("dist-info/METADATA"))
    (commands,) = (text for name, text in packed.items() if name.endswith("/entry_points.txt"))
    assert {b"Name: swapwright", b"License-Expression: Apache-2.0"} <= set(metadata.splitlines())
    assert any(name.endswith("dist-info/licenses/LICENSE") for name in packed)
    assert b"swapwright = swapwright.cli:main" in commands


def test_missing_and_changed_files_are_caught() -> None:
    source = {"a.yaml": b"1", "b.csv": b"2", "c.css": b"3"}
    assert missing_or_changed(source, {"a.yaml": b"1", "b.csv": b"4"}) == ("b.csv", "c.css")


@pytest.mark.parametrize(
    "content",
    [
        bytes(ROOT) + b"/src",
        b"see '/home/someone/car.yaml'",
        b"from /home/me/sheets",
        b"/Users/someone/car",
        b"out: /tmp/x",
        rb"C:\Users\someone",
    ],
)
def test_machine_path_is_caught(content: bytes) -> None:
    assert naming_a_machine({"a.yaml": content}) == ("a.yaml",)


def test_web_address_is_no_machine_path() -> None:
    assert naming_a_machine({"a.css": b"https://example.org/home/page and a/tmp/b"}) == ()
