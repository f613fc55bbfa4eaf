"""Files that mean harm, through the command line: each ends in its code, with nothing written."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plaidcut.documents.measurement import to_document
from plaidcut.documents.text import to_text
from plaidcut.files import MOST_TEXT_BYTES
from plaidcut.tasks import measure_by_hand
from tests.shelf.wool import kept

BANDS = ["--by-hand", "black 2 in, yellow 1/8 in, green 1 in", "--across", "navy 1 in, red 1/8 in"]
TYPED = to_document(measure_by_hand("black 2 in, yellow 1/8 in", across="navy 1 in, red 1/8 in"))
MEASURED = dict(kept("Harbour skirt", "K30 R2 K30 Y2", "N20 W3", photo=True)[0].document)
CORRECTIONS = {
    "document": "plaidcut-corrections",
    "version": 1,
    "corrections": [{"kind": "width", "band": "U2", "width_mm": 4.5}],
}

NO_TOML = {
    "binary": b"\xff\xfe\x00\x01",
    "latin 1": 'garment = "caf\xe9"'.encode("latin-1"),
    "utf 16": 'units = "in"'.encode("utf-16"),
    "nought": b'units = "i\0n"',
    "escape": b'units = "\x1b[2J"',
    "open": b"[[piece",
    "twice": b"a = 1\na = 2",
    "table twice": b"[cuts]\n[cuts]",
    "both": b"piece = 1\n[[piece]]",
    "deep lists": b"a = " + b"[" * 1500 + b"]" * 1500,
    "deep tables": b"a = " + b"{a=" * 900 + b"1" + b"}" * 900,
    "dotted": b"a" + b".a" * 1900 + b" = 1",
    "very dotted": b"a" + b".a" * 60_000 + b" = 1",
    "ten million in a line": b'a = "' + b"x" * 10_000_000 + b'"',
    "many lines": b"# wool\n" * 60_000,
    "digits": b"a = " + b"9" * 3900,
    "hexadecimal": b"a = 0x" + b"f" * 3900,
    "not a number": b"a = nan",
    "without end": b"a = -inf",
    "a day": b"a = 2026-13-45",
    "quotes": b'a = """',
    "unknown": b"price = 5",
}


def refused(plaidcut, *words, codes=("bad-file",)):
    """Run it and hold what it answers against what a refusal is."""
    answer = plaidcut(*words, "--json")
    assert answer.status == 3
    assert answer.error["code"] in codes
    assert answer.error["message"].isprintable()
    assert answer.error["hint"]
    assert len(answer.out) < 4000
    assert answer.err == ""


@pytest.mark.parametrize("text", NO_TOML)
@pytest.mark.parametrize("kind", ["garment", "rug", "settings"])
def test_toml_that_means_harm(plaidcut, tmp_path, kind, text):
    """Not text, not TOML, deeper or longer than any hand writes: refused, and soon."""
    file = tmp_path / "hostile.toml"
    file.write_bytes(NO_TOML[text])
    words = {
        "garment": ["garment", file, *BANDS, "--cut", "8"],
        "rug": ["rug", file],
        "settings": ["rows", "1 in", "--settings", file],
    }
    refused(plaidcut, *words[kind])


@pytest.mark.parametrize("name", ["a\x1b[2Jb", "a\u202eb", "a\nb", "n" * 5000, "\x00"])
@pytest.mark.parametrize("kind", ["garment", "rug"])
def test_names_in_toml_that_a_screen_would_obey(plaidcut, tmp_path, kind, name):
    """Controls and turned letters have no place in a name."""
    quoted = json.dumps(name)
    file = tmp_path / "hostile.toml"
    piece = '[[piece]]\nshape = "rectangle"\nwidth = "9 in"\nheight = "9 in"\n'
    supply = f'[[supply]]\nname = {quoted}\narea = "400 sq in"\n'
    rug = f'{supply}[[area]]\nshape = "area"\narea = "9 sq in"'
    file.write_text({"garment": f"garment = {quoted}\n{piece}", "rug": rug}[kind])
    words = ["garment", file, *BANDS, "--cut", "8"] if kind == "garment" else ["rug", file]
    refused(plaidcut, *words)


NO_JSON = {
    "cut off": to_text(TYPED)[:700].encode(),
    "deep": b'{"document": ' + b"[" * 200_000,
    "deep objects": b'{"document": ' * 100_000,
    "digits": b'{"document": ' + b"9" * 100_000 + b"}",
    "not a number": to_text(TYPED).replace("50.8", "NaN").encode(),
    "without end": to_text(TYPED).replace("50.8", "1e999").encode(),
    "latin 1": b'{"document": "\xe9"}',
    "half a letter": b'{"document": "\\ud800"}',
    "other kind": b'{"document": "plaidcut-yield", "version": 1}',
    "long kind": b'{"document": "' + b"x" * 1_000_000 + b'"}',
    "nothing": b"{}",
    "too long": b"{" + b" " * MOST_TEXT_BYTES,
    "two": b'{"document": "plaidcut-measurement"}' * 2,
}


@pytest.mark.parametrize("text", NO_JSON)
@pytest.mark.parametrize("kind", ["measurement", "corrections"])
def test_json_that_means_harm(plaidcut, tmp_path, kind, text):
    """Whatever is no document is refused, in few words."""
    file = tmp_path / "hostile.json"
    file.write_bytes(NO_JSON[text])
    if kind == "measurement":
        refused(plaidcut, "yield", file)
    else:
        refused(plaidcut, "measure", *BANDS, "--corrections", file)


def put(document, path, value):
    """The document with one of its fields set otherwise."""
    changed = json.loads(json.dumps(document))
    *way, last = path
    part = changed
    for step in way:
        part = part[step]
    part[last] = value
    return changed


BAND = ("up", "bands", 1)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ((*BAND, "width_mm"), 1e308),
        ((*BAND, "width_mm"), -1.0),
        ((*BAND, "width_mm"), "1 in"),
        ((*BAND, "width_std_mm"), 1e308),
        ((*BAND, "width_edge_std_mm"), 1e160),
        ((*BAND, "start_mm"), -1e308),
        ((*BAND, "id"), "U1"),
        ((*BAND, "id"), "U1\n"),
        ((*BAND, "id"), "../U1"),
        ((*BAND, "yarn", "hex"), "#GG0000"),
        ((*BAND, "yarn", "hex"), "red;background:url(x)"),
        ((*BAND, "yarn", "name"), "\x1b]0;x\x07"),
        ((*BAND, "yarn", "name"), "n" * 50_000),
        ((*BAND, "yarn", "name"), "\ud800"),
        ((*BAND, "reads", "name"), "a\u202eb"),
        ((*BAND, "reads", "lab"), [1e308, 1e308, 1e308]),
        ((*BAND, "reads", "value"), "pale"),
        (("up", "bands"), []),
        (("up", "repeat_mm"), 1e-300),
        (("up", "edges_px"), [[[1e308, -1e308]]]),
        (("up", "angle_px_deg"), 180.0),
        (("photo", "name"), "x\x1b[2J.jpg"),
        (("photo", "width_px"), 10**30),
        (("photo", "height_px"), 0),
        (("photo", "sha256"), "0" * 63),
        (("photo",), None),
        (("scale", "plane_to_px"), [[1e300, 0, 0], [0, 1e300, 0], [0, 0, 1e300]]),
        (("scale", "plane_to_px"), [[0.0] * 3] * 3),
        (("scale", "plane_to_px"), [[8.0, 0.0, 0.0], [0.0, 8.0, 0.0], [1e9, 1e9, 1e-30]]),
        (("scale", "lens", "norm_px"), 0.0),
        (("scale", "relative_std"), 1e308),
        (("cloth", "outline_px"), [[0.0]] * 9),
        (("cloth", "kind"), "velvet"),
        (("warnings",), [{"code": "x", "message": "\x1b[31mred"}]),
        (("warp",), "sideways"),
        (("version",), 0),
        (("version",), True),
    ],
)
def test_a_measurement_that_cannot_be(plaidcut, tmp_path, path, value):
    """Numbers that would overflow, names that a screen obeys, parts that contradict each other."""
    file = tmp_path / "hostile.json"
    file.write_text(json.dumps(put(MEASURED, path, value)))
    refused(plaidcut, "yield", file)


@pytest.mark.parametrize(
    "correction",
    [
        {"kind": "width", "band": "U2", "width_mm": 1e308},
        {"kind": "width", "band": "U2", "width_mm": 0},
        {"kind": "width", "band": "U99", "width_mm": 1.0},
        {"kind": "rename", "band": "U1", "name": "\x1b[2J"},
        {"kind": "rename", "band": "U1", "name": "n" * 9999},
        {"kind": "split", "band": "U1", "at_mm": [1e308]},
        {"kind": "split", "band": "U1", "at_mm": [2.0, 1.0]},
        {"kind": "merge", "bands": ["U1"] * 5000},
        {"kind": "colour", "band": "U1", "hex": "red"},
        {"kind": "start", "band": "X1\n"},
        {"kind": "burn", "band": "U1"},
        {"kind": "start"},
        "start",
    ],
)
def test_a_correction_that_cannot_be(plaidcut, tmp_path, correction):
    """Refused with its number; what it would correct stays as it was measured."""
    file = tmp_path / "hostile.json"
    file.write_text(json.dumps(CORRECTIONS | {"corrections": [correction]}))
    refused(plaidcut, "measure", *BANDS, "--corrections", file)


def test_a_plan_that_cannot_be(plaidcut, tmp_path):
    """A plan's document that was tampered with draws no report, and none is half written."""
    cloth, plan, out = tmp_path / "cloth.json", tmp_path / "plan.json", tmp_path / "out"
    cloth.write_text(to_text(TYPED))
    assert plaidcut("plan", cloth, "--cut", "8", "--out", plan).status == 0
    document = json.loads(plan.read_text())
    for path, value in (
        (("ways",), document["ways"] * 50),
        (("ways", 0, "width_mm"), 1e308),
        (("measurement_sha256",), "0" * 63),
        (("handling", "wander_mm"), -1.0),
    ):
        plan.write_text(json.dumps(put(document, path, value)))
        refused(plaidcut, "report", plan, "--cloth", cloth, "--out", out)
        assert not any(out.iterdir())


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@SUM(A1)"])
def test_names_are_no_formulas(plaidcut, tmp_path, name):
    """A spreadsheet shows what begins a name with its signs, and doesn't reckon with it."""
    document = put(TYPED, (*BAND, "yarn", "name"), name)
    document = put(document, (*BAND, "reads", "name"), name)
    file, table = tmp_path / "cloth.json", tmp_path / "cloth.csv"
    file.write_text(json.dumps(document))
    for words in (["measure", file], ["plan", file, "--cut", "8"], ["yield", file]):
        assert plaidcut(*words, "--csv", table, "--force").status == 0
        cells = [cell for line in table.read_text().splitlines() for cell in line.split(",")]
        assert name not in cells
        assert f"'{name}" in cells or words[0] == "plan"  # which names piles after two colours


def test_names_are_no_markup(plaidcut, tmp_path):
    """In page, paper and terminal a name with markup in it is shown as it is."""
    name = "<script>alert(1)</script>[bold]&{{7*7}}"
    document = put(TYPED, (*BAND, "yarn", "name"), name)
    file, out = tmp_path / "cloth.json", tmp_path / "out"
    file.write_text(json.dumps(put(document, (*BAND, "reads", "name"), name)))
    assert plaidcut("report", file, "--cut", "8", "--out", out, "--made", name).status == 0
    page = (out / "report.html").read_text()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;[bold]&amp;{{7*7}}" in page
    assert "[bold]" in plaidcut("measure", file).out


def test_a_list_with_a_bracket_in_its_last_name_is_written_at_once():
    """Names of files may hold brackets: the writer must not try every way to read them."""
    names = [f"IMG_{number}.jpg" for number in range(2000)]
    text = to_text({"added": [*names, "IMG[1].jpg"]})
    assert json.loads(text)["added"][-1] == "IMG[1].jpg"


def places(part, way=()):
    """Where the fields of a document are."""
    items = part.items() if isinstance(part, dict) else enumerate(part)
    for name, value in items:
        yield (*way, name)
        if isinstance(value, dict | list):
            yield from places(value, (*way, name))


HOSTILE = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(
        [1e-300, 5e-324, 1e300, 1e9, 10**30, "", "=1", "<b>", [], {}, [[]], "U1", "U9"]
    ),
)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    document=st.sampled_from([TYPED, MEASURED]),
    spoilt=st.lists(st.tuples(st.randoms(use_true_random=False), HOSTILE), min_size=1, max_size=3),
)
def test_whatever_a_measurement_holds_is_answered(plaidcut, tmp_path, document, spoilt):
    """Any fields set to anything: an answer, or a refusal with its reason; never a fault."""
    for random, value in spoilt:
        document = put(document, random.choice(list(places(document))), value)
    file = tmp_path / "hostile.json"
    file.write_text(json.dumps(document))
    answer = plaidcut("yield", file, "--json")
    assert answer.status in (0, 2, 3, 4), answer.out
