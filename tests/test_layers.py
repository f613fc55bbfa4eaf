"""The order of the stages, and who may touch files: read from the imports of every module."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "plaidcut"

ORDER = (
    {"errors", "one_heap", "same_sums", "shown"},
    {"preload", "units", "srgb", "typed_px"},
    {"tables"},
    {"photo_whole", "photo_colours"},
    {"photo"},
    {"photo_faults"},
    {"scale"},
    {"cloth"},
    {"stripes"},
    {"loose"},
    {"cutting"},
    {"rug"},
    {"shelved"},
    {"shelved_typed"},
    {"pictures"},
    {"reports"},
    {"settings", "documents"},
    {"shelf"},
    {"tasks", "files"},
    {"sources", "settings_file", "report_files"},
    {"many"},
    {"page"},
    {"cli"},
    {"__main__"},
)
"""What comes after what; rooms in one set don't import each other."""

TOUCH_FILES = {
    "photo",
    "documents",
    "shelf",
    "files",
    "settings_file",
    "sources",
    "many",
    "cli",
    "page",
}

FILE_CALLS = {
    "open",
    "read_text",
    "read_bytes",
    "write_text",
    "write_bytes",
    "unlink",
    "mkdir",
    "imread",
    "imwrite",
    "fromfile",
    "tofile",
    "loadtxt",
    "savetxt",
}

MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "__init__.py")


def room_of(module):
    """The room of a dotted name, ``plaidcut.scale.card`` being in ``scale``."""
    return module.split(".")[1]


def module_of(path):
    """The dotted name of a file."""
    return ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)


def imports_of(path):
    """Every module that a file imports, inside functions too."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name} imports relatively"
            if node.module == "plaidcut":
                yield from (f"plaidcut.{alias.name}" for alias in node.names)
            else:
                yield node.module


def place_of(room):
    """The place of a room in the order."""
    places = [place for place, rooms in enumerate(ORDER) if room in rooms]
    assert len(places) == 1, f"{room} has no place in the order of the stages"
    return places[0]


@pytest.mark.parametrize("path", MODULES, ids=module_of)
def test_no_stage_imports_what_comes_after_it(path):
    """Data flows one way: a room imports itself and what lies before it, nothing else."""
    room = room_of(module_of(path))
    for imported in imports_of(path):
        if imported.startswith("plaidcut.") and imported != "plaidcut.__version__":
            other = room_of(imported)
            assert other == room or place_of(other) < place_of(room), f"imports {imported}"


@pytest.mark.parametrize("path", MODULES, ids=module_of)
def test_only_edges_touch_files(path):
    """Stages take and give values; files are opened by the rooms at the edge only."""
    if room_of(module_of(path)) in TOUCH_FILES:
        return
    called = {
        node.func.id if isinstance(node.func, ast.Name) else node.func.attr
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name | ast.Attribute)
    }
    if "importlib" in set(imports_of(path)):  # its own data, which ships in the package
        called -= {"read_text", "read_bytes"}
    assert not called & FILE_CALLS
    assert "tempfile" not in set(imports_of(path))


@pytest.mark.parametrize(
    "path", [path for path in MODULES if room_of(module_of(path)) in {"cli", "page"}], ids=module_of
)
def test_faces_hold_no_arithmetic(path):
    """The command line and the page ask and show; whatever is computed, tasks computes."""
    computing = (ast.Sub, ast.Mult, ast.Pow, ast.Mod, ast.FloorDiv, ast.MatMult)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        assert not isinstance(node, ast.BinOp) or not isinstance(node.op, computing), (
            f"line {node.lineno} computes"
        )
    assert not {"numpy", "cv2", "scipy", "math"} & set(imports_of(path))
