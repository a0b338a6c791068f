"""Saving: whole or not at all, and never over somebody else's change."""

import multiprocessing
import random
import time
from pathlib import Path

import pytest

from seatfield.store import FileChangedError, FileExistsAlreadyError, create, open_folder, save
from seatfield.store.text import digest_of

CONTRACT = Path(__file__).parent / "files" / "contract.toml"


@pytest.fixture
def file(tmp_path):
    """Return a project file in a folder of its own."""
    file = tmp_path / "project.toml"
    file.write_bytes(CONTRACT.read_bytes())
    return file


def test_saving_what_was_opened_leaves_every_byte(file):
    """Nothing is touched, not even the time of the last change."""
    opened, before = open_folder(file), file.stat().st_mtime_ns
    assert save(file, opened.text, opened.digest) == opened.digest
    assert (file.read_bytes(), file.stat().st_mtime_ns) == (CONTRACT.read_bytes(), before)


def test_saving_returns_the_digest_that_opening_gives(file):
    """So that the next saving needs no opening."""
    opened = open_folder(file.parent)
    digest = save(file.parent, opened.text + "# more\n", opened.digest)
    assert open_folder(file).digest == digest != opened.digest
    save(file, opened.text, digest)
    assert file.read_bytes() == CONTRACT.read_bytes()
    assert list(file.parent.iterdir()) == [file]


def test_a_file_that_changed_meanwhile_is_not_overwritten(file):
    """An editor's change, and a file that is gone, are told; nothing is lost."""
    opened = open_folder(file)
    file.write_text("# somebody else's\n")
    with pytest.raises(
        FileChangedError, match=r"project\.toml has changed since it was opened; open it again"
    ):
        save(file, opened.text + "# mine\n", opened.digest)
    assert file.read_text() == "# somebody else's\n"
    file.unlink()
    with pytest.raises(FileChangedError, match="has changed since it was opened"):
        save(file, opened.text, opened.digest)
    assert not file.exists()


def test_mode_link_and_byte_order_mark_stay(file, tmp_path):
    """A file stays as open or closed to others as it was, a link stays a link, a mark stays in front."""
    file.write_bytes(b"\xef\xbb\xbf" + CONTRACT.read_bytes())
    file.chmod(0o640)
    link = tmp_path / "elsewhere.toml"
    link.symlink_to(file)
    opened = open_folder(link)
    save(link, opened.text + "# more\n", opened.digest)
    assert link.is_symlink()
    assert file.read_bytes() == b"\xef\xbb\xbf" + CONTRACT.read_bytes() + b"# more\n"
    assert file.stat().st_mode & 0o777 == 0o640


def test_a_new_project_never_overwrites_one(tmp_path):
    """The folder is made; a second time is refused."""
    file = create(tmp_path / "home" / "cinema", "format = 1\n")
    assert file == tmp_path / "home" / "cinema" / "project.toml"
    with pytest.raises(FileExistsAlreadyError, match="exists already; choose another folder"):
        create(file.parent, "format = 2\n")
    assert file.read_text() == "format = 1\n"


def write_on(file, number, ready):
    """Save version after version until killed."""
    digest = digest_of(file.read_bytes())
    ready.set()
    while True:
        number += 1
        digest = save(file, f"number = {number}\n" * 20000, digest)


def test_a_process_killed_at_any_time_leaves_a_whole_file(tmp_path):
    """Twenty-five writers are killed while they save: each time the file is one of its versions, whole."""
    file, chance, seen = tmp_path / "project.toml", random.Random(3), set()
    context = multiprocessing.get_context("fork")
    file.write_text("number = 0\n" * 20000)
    for _ in range(25):
        number = int(file.read_text().split("\n", 1)[0].removeprefix("number = "))
        ready = context.Event()
        writer = context.Process(target=write_on, args=(file, number, ready))
        writer.start()
        assert ready.wait(10)
        time.sleep(chance.uniform(0, 0.03))
        writer.kill()
        writer.join()
        assert writer.exitcode == -9
        lines = file.read_text().splitlines()
        assert len(lines) == 20000
        assert len(set(lines)) == 1
        seen |= set(lines)
    assert len(seen) > 5  # the writers did write before they were killed
    save(file, "number = -1\n", digest_of(file.read_bytes()))
    assert list(tmp_path.iterdir()) == [file]  # what the killed ones left is cleared
