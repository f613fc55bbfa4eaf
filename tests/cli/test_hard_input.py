"""What an attack found once: each refused with its code, none a bug, nothing passed over."""

import pytest

BANDS = ["--by-hand", "black 2 in, yellow 1/8 in, green 1 in", "--across", "navy 1 in, red 1/8 in"]
RUG = '[[supply]]\nname = "w"\narea = "400 sq in"\n[[area]]\nshape = "area"\narea = "60 sq in"\n'
PIECE = '[[piece]]\nshape = "rectangle"\nwidth = "9 in"\nheight = "9 in"\n'
MANY = "9" * 400


def test_heads_that_slit_many_strips_at_once(plaidcut, tmp_path):
    """Seven of #3 or eight of #8 a pass are told in digits."""
    file = tmp_path / "s.toml"
    file.write_text("[cuts.per_pass]\n3 = 7\n8 = 9\n")
    for cut in ("3", "8"):
        answer = plaidcut("plan", *BANDS, "--settings", file, "--cut", cut, "--at", "U1")
        assert answer.status == 0
        assert f"pass of {7 if cut == '3' else 9} #{cut}" in " ".join(answer.out.split())


@pytest.mark.parametrize(
    "text",
    [
        '[[piece]]\nshape = ["rectangle"]',
        "[[piece]]\nshape = { a = 1 }",
        PIECE + f"count = 1{'0' * 300}",
        PIECE + f"count = {'1' * 5000}",
        PIECE + f"seam = {MANY}",
        "a = " + "[" * 3000 + "]" * 3000,
        PIECE + 'at = "selvedge"',
        PIECE + 'at = ["U1", "U3"]',
        PIECE + 'at = ["U1", "X1", "U2"]',
        PIECE.replace('"9 in"', '"99 m"'),
        PIECE.replace('"9 in"', f'"{MANY} in"'),
    ],
)
def test_garment_files(plaidcut, tmp_path, text):
    """Wrong types, huge numbers, deep nesting, places that aren't."""
    file = tmp_path / "g.toml"
    file.write_text(text)
    answer = plaidcut("garment", file, *BANDS, "--cut", "8", "--json")
    assert answer.status == 3
    assert answer.error["code"] == "bad-file"


@pytest.mark.parametrize(
    "text",
    [
        RUG.replace('"area"\n', '["area"]\n'),
        RUG + f"rows = {MANY}",
        RUG + 'stripe = "U7-U5"\nfrom = "w"',
        RUG.replace("60 sq in", "0.0000001 sq in"),
        RUG.replace("60 sq in", f"{MANY} sq in"),
        RUG.replace('area = "400 sq in"', f"yards = 1{'0' * 400}"),
        RUG.replace('area = "400 sq in"', 'pieces = "9 x 9 in"\ncloth = "a\\u0000b"'),
    ],
)
def test_rug_files(plaidcut, tmp_path, text):
    """The same of rugs: none ends in a fault of plaidcut's own."""
    file = tmp_path / "r.toml"
    file.write_text(text)
    answer = plaidcut("rug", file, "--json")
    assert answer.status == 3
    assert answer.error["code"] in {"bad-file", "not-found"}


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ('[coverage]\n"#8" = 5.1', "#8"),
        ("[coverage]\n8 = 500", "from 1.5 to 20"),
        ("[coverage]\n8 = 1e300", "from 1.5 to 20"),
        ("[rows_per_inch]\n8 = 400", "from 0.5 to 24"),
        ("[cuts.per_pass]\nbanana = 5", "banana"),
    ],
)
def test_settings(plaidcut, tmp_path, text, names):
    """Cuts there aren't and absurd figures are errors with their line, not passed over."""
    file = tmp_path / "s.toml"
    file.write_text(text)
    answer = plaidcut("rows", "1 in", "--settings", file, "--json")
    assert answer.error["code"] == "bad-file"
    assert "line 2" in answer.error["message"]
    assert names in answer.error["message"]


def test_a_file_saved_with_a_byte_order_mark_is_read(plaidcut, tmp_path):
    """As some editors write them."""
    file = tmp_path / "g.toml"
    file.write_text(PIECE, encoding="utf-8-sig")
    assert plaidcut("garment", file, *BANDS, "--cut", "8", "--json").status == 0


@pytest.mark.parametrize(
    "words",
    [
        ["rug", "--area", "0.0000001 sq in", "--wool", "1 yd"],
        ["rug", "--area", f"{MANY} sq in", "--wool", "1 yd"],
        ["rug", "--area", "60 sq in", "--wool", f"{MANY} of 16 in"],
        ["rug", "--area", "60 sq in", "--wool", "1 yd", "--hooked", "99.999999 %"],
        ["rug", "there.toml", "--wool", "100 yd"],
        ["test-square", "--hooked", "3 x 3 in", "--piece", "8 x 8 in", "--before", f"{MANY} g"],
        ["plan", *BANDS, "--piece", f"{MANY} in x 9 in"],
    ],
)
def test_typed_numbers(plaidcut, words):
    """Huge, tiny, too many digits; and what a file's own would override."""
    if words[-2] == "--before":
        words = [*words, "--after", "1 g"]
    answer = plaidcut(*words, "--json")
    assert answer.status == 2
    assert answer.error["hint"]


def test_many_cuts_in_one_piece_are_refused(plaidcut):
    """A plan looks at every set of its cuts: five are refused at once, not searched for minutes."""
    wishes = [word for cut in ("5", "6", "7", "9") for word in ("--keep", f"U2 {cut}")]
    answer = plaidcut("plan", *BANDS, "--cut", "8", *wishes, "--json")
    assert answer.error["code"] == "nothing-fits"
    assert "changes the head" in answer.error["message"]


def test_strips_are_as_long_as_the_piece_is_torn(plaidcut):
    """23 in are one length, 25 in two: what is told to be torn is what is counted."""
    words = ["garment", *BANDS, "--cut", "8"]
    one = " ".join(plaidcut(*words, "--piece", "8 x 23 in").out.split())
    two = " ".join(plaidcut(*words, "--piece", "8 x 25 in").out.split())
    up = "running from side to side"
    assert "Tear it across" not in one[: one.rindex(up)]
    assert "Tear it across into two equal lengths of about 12 1/2 in" in two.replace(
        "into 2", "into two"
    )


def test_one_more_row_may_be_within_what_is_known(plaidcut):
    """An over that a ruler can't show isn't told as nothing."""
    words = " ".join(plaidcut("rows", "1.494 in", "--cut", "8").out.split())
    assert "under 1/32 in" in words
