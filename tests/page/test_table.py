"""The table, while others write on it."""

from plaidcut.page.table import Table


def test_a_file_that_goes_while_it_is_looked_at_does_no_harm(tmp_path):
    """Half-written files come and go beside whole ones; the list of cloths stands all the same."""
    table = Table.at(tmp_path / "table")
    cloth = table.new({"name": "skirt.jpg"})
    cloth.path(".preview.jpg.12345678").symlink_to(cloth.path("gone"))
    assert [each.id for each in table.cloths()] == [cloth.id]
    assert cloth.touched() == cloth.path("asked.json").stat().st_mtime
