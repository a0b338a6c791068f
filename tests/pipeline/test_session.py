"""A session saves every change at once, takes it back without limit, and loses nobody's change."""

import os
import signal
import threading
import time
import tomllib

import pytest

from seatfield.pipeline import ProjectFaultsError
from seatfield.pipeline.commands import Move, Write, change_of
from seatfield.pipeline.rebasing import NoLongerFitsError
from seatfield.pipeline.session import NothingToTakeBackError, ReadOnlyError, Session, UnknownRevisionError
from seatfield.store import EditRefusedError, Remove, Set


def on_disk(folder):
    return (folder / "project.toml").read_text("utf-8")


def data(folder):
    return tomllib.loads(on_disk(folder))


def setting(*pairs):
    return lambda _seen: [Set(path, value) for path, value in pairs]


def test_a_change_is_saved_at_once_and_keeps_every_other_line(folder):
    session, before = Session(folder), on_disk(folder).splitlines()
    session.change(setting((("seat", 0, "at", 0), 2.4)))
    changed = [pair for pair in zip(before, on_disk(folder).splitlines(), strict=True) if pair[0] != pair[1]]
    assert changed == [("at = [2.3, 3.1]", "at = [2.4, 3.1]")]


def test_undo_and_redo_have_no_limit_and_restore_the_very_bytes(folder):
    session, texts = Session(folder), [on_disk(folder)]
    for step in range(25):
        session.change(setting((("seat", 0, "at", 0), 2.0 + step / 100)))
        texts.append(on_disk(folder))
    for text in reversed(texts[:-1]):
        session.undo()
        assert on_disk(folder) == text
    with pytest.raises(NothingToTakeBackError, match="nothing to undo"):
        session.undo()
    for text in texts[1:]:
        session.redo()
        assert on_disk(folder) == text
    with pytest.raises(NothingToTakeBackError, match="nothing to redo"):
        session.redo()


def test_revision_numbers_only_rise(folder):
    session = Session(folder)
    numbers = [session.change(setting((("seat", 0, "at", 0), 2.4))).number, session.undo().number]
    numbers += [session.redo().number]
    assert numbers == [2, 3, 4]


def test_a_change_that_makes_faults_is_refused_with_the_faults_and_nothing_is_written(folder):
    session, before = Session(folder), on_disk(folder)
    with pytest.raises(ProjectFaultsError, match=r"seat\[0\]\.ear: found .* wanted") as refused:
        session.change(setting((("seat", 0, "ear"), "high up")))
    assert refused.value.faults[0].line > 0
    assert on_disk(folder) == before
    assert session.now.number == 1


def test_a_preview_computes_and_saves_nothing(folder):
    session, before = Session(folder), on_disk(folder)
    project, plan = session.preview(change_of([Move("loudspeaker[0]", (3.0, 0.66))]))
    assert project.loudspeakers[0].at[0] == pytest.approx(3.0)
    assert plan.layout.loudspeakers[0].azimuth_deg < 20
    assert plan.cable is None
    assert on_disk(folder) == before


def test_a_preview_finds_what_the_whole_layout_finds_without_what_nobody_looks_at_meanwhile(folder):
    session, change = Session(folder), change_of([Move("loudspeaker[0]", (3.0, 0.66))])
    project, shown = session.preview(change)
    whole = session.quick(project)
    assert shown.findings == whole.findings
    assert shown.layout.loudspeakers == whole.layout.loudspeakers
    assert whole.layout.marks
    assert whole.layout.candidates
    assert not shown.layout.marks
    assert not shown.layout.candidates


def test_a_preview_says_what_the_saved_change_says(folder):
    session, change = Session(folder), change_of([Move("seat[0]", (2.41, 2.9))])
    shown, _ = session.preview(change)
    assert session.change(change).project == shown


def test_an_editors_change_is_noticed_and_can_be_taken_back(folder):
    session, heard = Session(folder), []
    session.listen(lambda revision: heard.append(revision.why))
    before = on_disk(folder)
    (folder / "project.toml").write_text(before.replace("ceiling = 2.5", "ceiling = 2.7"), "utf-8")
    assert session.look()
    assert not session.look()
    assert session.now.project.room.ceiling_m == pytest.approx(2.7)
    session.undo()
    assert on_disk(folder) == before
    assert heard == ["changed outside: room: ceiling 2.5 → 2.7", "undone: room: ceiling 2.7 → 2.5"]


def test_a_change_made_on_an_old_text_lands_in_the_new_one_where_it_still_fits(folder):
    session = Session(folder)
    text = on_disk(folder)
    chair = '[[furniture]]\nname = "stool"\noutline = [[0.2, 1.8], [0.5, 1.8], [0.5, 2.1]]\nheight = 0.4\n\n'
    (folder / "project.toml").write_text(text.replace("[[furniture]]", chair + "[[furniture]]", 1), "utf-8")
    session.look()
    session.change(setting((("furniture", 0, "height"), 0.9)), base=1)
    assert [(one["name"], one["height"]) for one in data(folder)["furniture"][:2]] == [
        ("stool", 0.4),
        ("sofa", 0.9),
    ]


def test_a_change_of_what_somebody_else_has_changed_is_a_question(folder):
    session = Session(folder)
    session.change(setting((("furniture", 0, "height"), 0.7)))
    with pytest.raises(NoLongerFitsError, match=r"furniture\[0\].height was changed meanwhile: it was 0.8"):
        session.change(setting((("furniture", 0, "height"), 0.9)), base=1)
    assert data(folder)["furniture"][0]["height"] == 0.7


def test_a_change_of_what_somebody_else_has_removed_is_a_question(folder):
    session = Session(folder)
    session.change(lambda _seen: [Remove(("furniture", 0))])
    with pytest.raises(NoLongerFitsError, match="is not there now"):
        session.change(setting((("furniture", 0, "height"), 0.9)), base=1)


def test_moving_a_corner_is_a_question_once_the_outline_has_another_number_of_corners(folder):
    session = Session(folder)
    session.change(setting((("room", "floor"), [[0, 0], [4.6, 0], [4.6, 3.6], [2, 3.8], [0, 3.6]])))
    with pytest.raises(NoLongerFitsError, match=r"room\.floor was changed"):
        session.change(setting((("room", "floor", 1, 0), 4.7)), base=1)


def test_a_broken_file_is_told_and_not_written_over(folder):
    session = Session(folder)
    (folder / "project.toml").write_text("format = 1\nname = ", "utf-8")
    assert session.look()
    assert session.now.faults[0].line == 2
    with pytest.raises(ProjectFaultsError, match="text that is no TOML"):
        session.change(setting((("seat", 0, "at", 0), 2.4)))
    assert on_disk(folder) == "format = 1\nname = "
    session.undo()
    assert data(folder)["name"] == "Rented room on the courtyard"


def test_what_is_only_shown_cannot_be_changed(folder):
    session = Session(folder, read_only=True)
    for forbidden in (lambda: session.change(setting((("name",), "x"))), session.undo, session.redo):
        with pytest.raises(ReadOnlyError, match="only shown"):
            forbidden()
    assert session.preview(change_of([Write("name", "x")]))[0].name == "x"


def test_misuse_is_told_in_sentences(folder):
    session = Session(folder)
    with pytest.raises(UnknownRevisionError, match="this session has 1 to 1"):
        session.change(setting((("name",), "x")), base=7)
    with pytest.raises(EditRefusedError, match="no such place in the file"):
        session.change(setting((("furniture", 99, "height"), 1)))


def test_two_sessions_at_once_lose_nothing(folder):
    """Each raises a number of its own, and saves over the other's saves all the time; both end as high as raised."""
    trouble = []

    def work(seat):
        session = Session(folder)
        try:
            for step in range(25):
                session.change(setting((("seat", seat, "at", 0), 1.0 + step / 100)))
        except Exception as error:  # noqa: BLE001  (whatever it is, the test tells it)
            trouble.append(error)

    workers = [threading.Thread(target=work, args=(seat,)) for seat in (0, 1)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert not trouble
    assert [seat["at"][0] for seat in data(folder)["seat"]] == [1.24, 1.24]


def save_until_killed(session, told):
    """Save the temperature and a name that tells it, over and over; tell of each save."""
    session.look()
    step = int(session.now.project.room.temperature_c)
    while True:
        step = 10 + (step + 1) % 20
        session.change(setting((("room", "temperature"), step), (("name",), f"n{step} " + "x" * 150)))
        os.write(told, b".")


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_session_killed_while_it_saves_leaves_a_whole_file(folder):
    """Name and temperature are saved together, so a whole file has both of the same save."""
    seen = set()
    session = Session(folder)
    for number in range(200):
        hears, told = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                save_until_killed(session, told)
            finally:
                os._exit(1)
        os.close(told)
        assert os.read(hears, 1) == b"."
        time.sleep(0.0005 * (number % 20))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(hears)
        found = data(folder)
        seen.add(found["room"]["temperature"])
        assert found["name"] == f"n{found['room']['temperature']} " + "x" * 150
    assert len(seen) > 5
