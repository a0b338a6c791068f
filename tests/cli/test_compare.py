"""`compare`: two states of a project, what differs and what only one of them has."""


def test_what_a_change_gives_and_costs_is_said(run, run_json, examples, tmp_path):
    text = (examples / "rented-room/project.toml").read_text(encoding="utf-8")
    before, after = tmp_path / "before", tmp_path / "after"
    for folder in (before, after):
        folder.mkdir()
    (before / "project.toml").write_text(text, encoding="utf-8")
    assert "price = 27" in text
    (after / "project.toml").write_text(
        text.replace("price = 27", "price = 270").replace("price = 29", "price = 290"), encoding="utf-8"
    )
    code, told = run_json("compare", before, after)
    assert code == 0
    (bought,) = (line for line in told["lines"] if line["what"].startswith("to buy"))
    left, right = (float(bought[side].split()[0]) for side in ("left", "right"))
    # By hand: every price is ten times as high, and the same spools are bought.
    assert right == 10 * left
    assert bought["better"] == "left"
    code, out, _ = run("compare", before, after)
    assert code == 0
    assert "the first is better" in out
    assert max(map(len, out.splitlines())) <= 80
    assert run("compare", before, before)[1].strip() == "The two come to the same."


def test_a_file_with_faults_is_told_and_nothing_is_compared(run, examples, tmp_path):
    (tmp_path / "project.toml").write_text("format = 1\n", encoding="utf-8")
    code, out, err = run("compare", examples / "rented-room", tmp_path)
    assert (code, out) == (2, "")
    assert "nothing was computed" in err
