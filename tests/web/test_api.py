"""The JSON API says what the pipeline says, and saves what it is told."""

import json
import pathlib
import re
import struct
import tomllib
from io import BytesIO

import pypdf
import pytest

from seatfield.pack import usual_cautions
from seatfield.pipeline import encode_plan, open_project, plan

AUTHORITIES = pathlib.Path(__file__).parents[2] / "authorities"
LIVE = "ws://127.0.0.1:8437/live"


def edit(client, *commands, base=None):
    return client.post("/api/edits", json={"commands": commands, "base": base})


def read_frame(frame):
    (length,) = struct.unpack("<I", frame[:4])
    rest = frame[4 + length :]
    return json.loads(frame[4 : 4 + length]), struct.unpack(f"<{len(rest) // 4}f", rest)


def test_the_plan_is_the_one_of_the_command_line(client, folder):
    told = client.get("/api/plan").json()
    alone = json.loads(json.dumps(encode_plan(plan(open_project(folder), leave_out=frozenset({"cable"})))))
    assert told["layout"] == alone["layout"]
    assert told["survey"] == alone["survey"]


def test_the_state_names_everything_that_can_be_taken_hold_of(client):
    state = client.get("/api/state").json()
    kinds = {thing["kind"] for thing in state["things"]}
    assert {
        "corner",
        "wall",
        "opening",
        "socket",
        "radiator",
        "furniture",
        "cover",
        "seat",
        "screen",
    } <= kinds
    assert [step["step"] for step in state["standing"]][:3] == ["room", "seats", "places"]
    assert state["data"]["name"] == "Rented room on the courtyard"


def test_an_edit_is_saved_and_can_be_taken_back(client, folder):
    before = (folder / "project.toml").read_text("utf-8")
    assert edit(client, {"do": "move", "key": "seat[0]", "to": [2.2, 3.0]}).json()["revision"] == 2
    assert tomllib.loads((folder / "project.toml").read_text("utf-8"))["seat"][0]["at"] == [2.2, 3.0]
    assert client.post("/api/undo").json() == {"revision": 3}
    assert (folder / "project.toml").read_text("utf-8") == before


def test_an_edit_that_makes_faults_is_refused_with_their_lines(client):
    refused = edit(client, {"do": "write", "key": "room.ceiling", "value": "sky high"})
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["key"] == "room.ceiling"
    assert "wanted a length" in refused.json()["sentence"]


def test_an_edit_of_what_another_tab_has_changed_is_a_question(client):
    assert edit(client, {"do": "write", "key": "seat[0].ear", "value": 1.0}, base=1).status_code == 200
    asked = edit(client, {"do": "write", "key": "seat[0].ear", "value": 1.1}, base=1)
    assert asked.status_code == 409
    assert asked.json()["was"] == "1.05"
    assert asked.json()["now"] == "1.0"


def test_an_edit_elsewhere_than_another_tabs_lands_beside_it(client, folder):
    edit(client, {"do": "write", "key": "seat[0].ear", "value": 1.0}, base=1)
    edit(client, {"do": "write", "key": "seat[1].ear", "value": 1.1}, base=1)
    seats = tomllib.loads((folder / "project.toml").read_text("utf-8"))["seat"]
    assert [seat["ear"] for seat in seats] == [1.0, 1.1]


def test_a_file_with_faults_is_shown_with_them_and_its_last_sound_state(client, folder):
    client.get("/api/state")
    (folder / "project.toml").write_text("format = 1\nnonsense", "utf-8")
    state = client.get("/api/state").json()
    assert state["faults"][0]["line"] == 2
    assert state["name"] == "Rented room on the courtyard"
    assert client.get("/api/drawing/floor").status_code == 200


def test_a_file_that_never_was_sound_answers_with_sentences(served, folder):
    (folder / "project.toml").write_text("format = 1\nnonsense", "utf-8")
    client = served()
    assert client.get("/api/state").json()["faults"]
    for path in ("plan", "drawing/floor", "drawing/walls", "solid", "pack.pdf"):
        assert client.get(f"/api/{path}").status_code == 422, path


def test_the_drawing_is_at_the_scale_that_was_asked_for(client):
    scene = client.get("/api/drawing/floor", params={"scale": 40}).json()
    assert scene["scale"] == 40
    assert {"line", "area", "circle", "arc", "text"} == {piece["kind"] for piece in scene["pieces"]}
    assert any(piece.get("key") == "room.floor[0]" for piece in scene["pieces"])


def test_the_walls_are_drawn_from_inside(client):
    sheets = client.get("/api/drawing/walls", params={"width": 300, "height": 220}).json()
    texts = [piece["text"] for sheet in sheets for piece in sheet["pieces"] if piece["kind"] == "text"]
    assert {"Wall A–B", "Wall B–C", "Wall C–D", "Wall D–A"} <= set(texts)


def test_the_room_in_the_round_closes(client):
    solid = client.get("/api/solid").json()
    assert len(solid["walls"]) == 4
    assert {box["kind"] for box in solid["boxes"]} == {"loudspeaker", "device", "screen"}
    assert sum(len(wall["holes"]) for wall in solid["walls"]) == 2


def test_a_finding_is_told_in_full(client):
    first = client.get("/api/plan").json()["findings"][0]
    told = client.get("/api/finding", params={"code": first["code"], "subject": first["subject"]}).json()
    assert told == first
    assert client.get("/api/finding", params={"code": "no.such"}).status_code == 404


def test_ticks_are_kept_in_the_log(client, folder):
    assert client.post("/api/ticks", json={"what": "laid M+030"}).json() == {"laid M+030": True}
    assert client.post("/api/ticks", json={"what": "laid M-030"}).status_code == 200
    assert client.post("/api/ticks", json={"what": "laid M-030", "done": False}).json() == {
        "laid M+030": True
    }
    assert len((folder / "log" / "ticks.jsonl").read_text("utf-8").splitlines()) == 3


@pytest.mark.usefixtures("without_bass")
def test_two_revisions_are_compared_by_what_they_give(client):
    edit(client, {"do": "move", "key": "loudspeaker[0]", "to": [3.0, 0.7]})
    told = client.get("/api/compare", params={"left": 1, "right": 2}).json()
    line = next(line for line in told["lines"] if line["what"] == "M+030")
    assert line["better"] == "left"
    assert "° left" in line["left"]
    assert "away" in line["right"]
    assert client.get("/api/compare", params={"left": 1, "right": 1}).json()["lines"] == []


@pytest.mark.usefixtures("without_bass")
def test_a_comparison_tells_what_moved_by_its_name_and_no_price_that_nobody_told(client, folder):
    """Three tenths one way and four the other are half a metre; a plan without prices says nothing of them."""
    file = folder / "project.toml"
    file.write_text(re.sub(r"(?m)^price = .*\n", "", file.read_text("utf-8")), "utf-8")
    client.get("/api/state")
    left = client.get("/api/revisions").json()[-1]["revision"]
    seat = tomllib.loads(file.read_text("utf-8"))["seat"][-1]
    to = [seat["at"][0] + 0.3, seat["at"][1] - 0.4]
    edit(
        client,
        {"do": "move", "key": f"seat[{len(tomllib.loads(file.read_text('utf-8'))['seat']) - 1}]", "to": to},
    )
    newest = client.get("/api/revisions").json()[-1]
    assert newest["why"] == f"{seat['name']}: moved 0.50 m"
    assert re.fullmatch(r"\d\d:\d\d", newest["at"])
    told = client.get("/api/compare", params={"left": left, "right": newest["revision"]}).json()
    assert told["changes"] == [f"{seat['name']}: moved 0.50 m"]
    moved = next(line for line in told["lines"] if line["what"] == seat["name"])
    assert (moved["right"], moved["better"]) == ("moved 0.50 m", "")
    assert not any(line["what"].startswith("to buy") for line in told["lines"])


@pytest.mark.usefixtures("without_bass")
def test_the_pack_is_printed_of_what_is_shown(client):
    pdf = client.get("/api/pack.pdf", params={"paper": "letter"})
    assert pdf.headers["content-type"] == "application/pdf"
    pages = pypdf.PdfReader(BytesIO(pdf.content)).pages
    assert len(pages) > 4
    assert [round(float(side)) for side in pages[0].mediabox[2:]] == [612, 792]  # US Letter in points


def test_a_picture_can_lie_under_the_plan(client, folder):
    png = b"\x89PNG\r\n\x1a\n" + b"0" * 100
    assert client.put("/api/pictures", content=png).json() == {"file": "underlay.png"}
    assert client.get("/api/pictures/underlay.png").content == png
    value = {"file": "underlay.png", "points": [[10, 10], [110, 10]], "length": 4.6}
    assert edit(client, {"do": "write", "key": "underlay", "value": value}).status_code == 200
    assert client.get("/api/state").json()["underlay"]["length_m"] == 4.6
    assert client.put("/api/pictures", content=b"<svg onload=alert(1)>").status_code == 415


def test_the_socket_answers_the_hand_with_angles_verdicts_and_a_drawing(client):
    asked = {"seq": 7, "key": "loudspeaker[0]", "look": {"scale": 50}}
    asked["commands"] = [{"do": "move", "key": "loudspeaker[0]", "to": [3.0, 0.66]}]
    with client.websocket_connect(LIVE) as socket:
        socket.send_text(json.dumps(asked))
        head, points = read_frame(socket.receive_bytes())
    assert (head["kind"], head["seq"]) == ("followed", 7)
    mine = next(one for one in head["following"]["loudspeakers"] if one["id"] == "M+030")
    assert mine["azimuth_deg"] == pytest.approx(16.0, abs=0.5)  # atan 0.70 / 2.44, seat at (2.30, 3.10)
    assert len(head["following"]["tapes"]) == 2
    assert len(points) == 2 * sum(sum(piece.get("counts", [])) for piece in head["scene"]["pieces"])


def test_the_socket_says_in_a_sentence_what_it_cannot_do(client):
    with client.websocket_connect(LIVE) as socket:
        socket.send_text("nonsense")
        assert "not as the API describes it" in read_frame(socket.receive_bytes())[0]["sentence"]
        asked = {"seq": 1, "key": "seat[9]", "look": {}, "commands": [{"do": "turn", "key": "seat[9]"}]}
        socket.send_text(json.dumps(asked))
        assert "nothing at seat[9]" in read_frame(socket.receive_bytes())[0]["sentence"]


def test_every_open_page_hears_of_a_change(client):
    with client.websocket_connect(LIVE) as one, client.websocket_connect(LIVE) as other:
        edit(client, {"do": "write", "key": "name", "value": "Another name"})
        for socket in (one, other):
            heads = [read_frame(socket.receive_bytes())[0]]
            while heads[-1]["kind"] != "revision":
                heads.append(read_frame(socket.receive_bytes())[0])
            assert heads[-1]["revision"] == 2


def test_the_cautions_are_those_of_the_pack(client):
    told = client.get("/api/cautions").json()
    assert told["parts"] == usual_cautions()["parts"]
    assert "licensed" in " ".join(part["text"] for part in told["parts"])


def test_the_report_of_a_receiver_is_read_and_nothing_is_written(client, folder):
    """A receiver of the open EDID collection (authorities/edid), with what edid-decode prints of it."""
    displays = json.loads((AUTHORITIES / "edid" / "displays.json").read_text("utf-8"))
    entry = next(one for one in displays if one["well_formed"] and len(one["printed"]["formats"]) > 2)
    before = (folder / "project.toml").read_bytes()
    told = client.put("/api/sink-report", content=bytes.fromhex(entry["hex"])).json()
    assert 0 < len(told["formats"]) <= len(entry["printed"]["formats"])
    for code, word in ((1, "LPCM"), (2, "AC-3")):  # audio format codes of CTA-861
        claimed = any(one["code"] == code for one in entry["printed"]["formats"])
        assert any(text.split()[0] == word for text in told["formats"]) == claimed, told["formats"]
    assert (folder / "project.toml").read_bytes() == before
    named = edit(client, {"do": "write", "key": "amplifier[0].decodes", "value": told["formats"]})
    assert named.status_code == 200
    refused = client.put("/api/sink-report", content=b"no report at all")
    assert refused.status_code == 415
    assert "It tells no audio format." in refused.json()["sentence"]
