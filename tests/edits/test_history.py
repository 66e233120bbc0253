"""Undo, redo, the lock, and what survives a stopped process."""

import json
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from tests.edits.support import BUILD, DAY, TEXTS, folder_with, text_of

from swapwright.edits import Told, change, close, entries, read, redo, set_value, undo, undoing
from swapwright.edits.history import locked, remember, write_whole
from swapwright.model.faults import Faulty


def all_texts(folder: Path) -> dict[str, str]:
    return {name: text_of(folder, name) for name in TEXTS}


def test_edits_are_undone_one_by_one_and_done_again(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    past = [all_texts(folder)]
    set_value(folder, "haywain.kerb_mass", "1200 kg", as_of=DAY)
    past.append(all_texts(folder))
    close(folder, "haywain.hot", "joined", to="four.hot", as_of=DAY)
    past.append(all_texts(folder))
    read(folder, "haywain.hsup.end.barrel", "13 mm", as_of=DAY)
    past.append(all_texts(folder))
    for wanted in (past[2], past[1], past[0]):
        undo(folder, as_of=DAY)
        assert all_texts(folder) == wanted
    with pytest.raises(Faulty, match="nothing to undo"):
        undo(folder)
    for wanted in past[1:]:
        redo(folder, as_of=DAY)
        assert all_texts(folder) == wanted
    with pytest.raises(Faulty, match="nothing to redo"):
        redo(folder)


def test_undo_tells_what_it_took_back_and_what_that_opens(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    close(folder, "haywain.hot", "joined", to="four.hot", as_of=DAY)
    told = undo(folder, as_of=DAY)
    assert told.what == "undone: haywain.hot: joined to four.hot as hot"
    assert set(told.crossings_opened) == {"haywain.hot", "four.hot"}
    assert redo(folder, as_of=DAY).what == "done again: haywain.hot: joined to four.hot as hot"


def test_new_edit_puts_undone_ones_aside_but_keeps_them(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    for currency in ("GBP", "USD"):
        set_value(folder, "van.currency", currency, as_of=DAY)
    undo(folder)
    set_value(folder, "van.currency", "SEK", as_of=DAY)
    with pytest.raises(Faulty, match="nothing to redo"):
        redo(folder)
    assert [(each.number, each.state) for each in entries(folder)] == [
        (1, "done"), (2, "aside"), (3, "done"),
    ]  # fmt: skip
    kept = folder / ".swapwright" / "history" / "000002.after"
    assert kept.read_text("utf-8") == BUILD.replace("EUR", "USD")
    undo(folder)
    redo(folder)
    assert "currency: SEK" in text_of(folder, "build.yaml")
    undo(folder)
    undo(folder)
    assert text_of(folder, "build.yaml") == BUILD


def test_hand_made_change_stops_undo_and_is_not_lost(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    set_value(folder, "van.currency", "GBP", as_of=DAY)
    by_hand = text_of(folder, "build.yaml") + "# mine\n"
    (folder / "build.yaml").write_bytes(by_hand.encode())
    with pytest.raises(Faulty) as refused:
        undo(folder)
    said = str(refused.value)
    assert "changed by hand" in said and ".swapwright/history/000001.before" in said
    assert text_of(folder, "build.yaml") == by_hand
    (folder / "build.yaml").write_bytes(by_hand.removesuffix("# mine\n").encode())
    undo(folder)
    (folder / "build.yaml").write_bytes(by_hand.encode())
    with pytest.raises(Faulty, match="changed by hand"):
        redo(folder)
    (folder / "build.yaml").unlink()
    (folder / "other.yaml").write_bytes(by_hand.encode())
    with pytest.raises(Faulty, match="no such document any more"):
        redo(folder)


def test_document_saved_by_an_editor_meanwhile_is_not_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An edit takes a second to check; what another program writes in it stays."""
    folder = folder_with(tmp_path)
    set_value(folder, "van.currency", "GBP", as_of=DAY)
    mine = text_of(folder, "build.yaml") + "# mine\n"

    def saved_meanwhile(*_: object) -> Told:
        (folder / "build.yaml").write_bytes(mine.encode())
        return Told("", "build.yaml", "old", "new")

    for module in (change, undoing):
        monkeypatch.setattr(module, "tell", saved_meanwhile)
    edits: tuple[Callable[[], Told], ...] = (
        lambda: set_value(folder, "van.currency", "EUR", as_of=DAY),
        lambda: undo(folder, as_of=DAY),
    )
    for edit in edits:
        (folder / "build.yaml").write_bytes(mine.removesuffix("# mine\n").encode())
        with pytest.raises(Faulty, match="another program changed"):
            edit()
        assert text_of(folder, "build.yaml") == mine
        assert [each.state for each in entries(folder)] == ["done"]


def test_process_stopped_before_writing_leaves_a_history_that_fits(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    set_value(folder, "van.currency", "GBP", as_of=DAY)
    raw = (folder / "build.yaml").read_bytes()
    remember(folder, "never written", "build.yaml", raw, raw + b"# new\n")
    undo(folder)
    assert text_of(folder, "build.yaml") == BUILD
    assert [each.state for each in entries(folder)] == ["undone", "aside"]


def test_history_can_be_read_and_a_broken_one_is_told(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    set_value(folder, "van.currency", "GBP", as_of=DAY)
    (entry,) = entries(folder)
    path = folder / ".swapwright" / "history" / "000001.json"
    told = json.loads(path.read_text("utf-8"))
    assert told["what"] == entry.what == "van: currency EUR -> GBP"
    path.write_text("{", encoding="utf-8")
    with pytest.raises(Faulty, match="broken history entry"):
        undo(folder)


def test_nothing_to_undo_in_a_fresh_folder_makes_no_folder(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    for act in (undo, redo):
        with pytest.raises(Faulty, match="nothing to"):
            act(folder)
    assert not (folder / ".swapwright").exists()


def test_second_process_is_told_who_holds_the_folder(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    with locked(folder):
        with pytest.raises(Faulty) as refused, locked(folder, patience=0.05):
            pass
        assert "another swapwright" in str(refused.value)
        assert "process " in str(refused.value) and "delete this file" in str(refused.value)
    with locked(folder, patience=0):
        pass
    assert not (folder / ".swapwright" / "lock").exists()


def test_edits_at_once_wait_for_each_other(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    values = [f"{number} mm" for number in range(10, 16)]
    with ThreadPoolExecutor(6) as pool:
        futures = [
            pool.submit(read, folder, "haywain.hsup.end.barrel", value, as_of=DAY)
            for value in values
        ]
    failed = [each for each in futures if each.exception() is not None]
    assert all("another swapwright" in str(each.exception()) for each in failed)
    done = text_of(folder, "build.yaml").count("of: haywain.hsup.end.barrel")
    assert done == len(values) - len(failed) == len(entries(folder)) > 0


def test_files_are_replaced_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(Faulty, match="No space left"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert [each.name for each in tmp_path.iterdir()] == ["a.yaml"]


def test_edits_load_without_what_only_posix_has(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    code = (
        "import sys; from pathlib import Path; sys.modules['fcntl'] = None\n"
        "from swapwright.edits import set_value, undo\n"
        "set_value(Path(sys.argv[1]), 'van.currency', 'GBP')\n"
        "print(undo(Path(sys.argv[1])).what)"
    )
    command = [sys.executable, "-c", code, str(folder)]
    run = subprocess.run(command, capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "undone: van: currency EUR -> GBP"
