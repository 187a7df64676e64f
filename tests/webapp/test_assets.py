"""Files for the browser: one style sheet, addresses by content, compressed, never a page for a file that is gone."""

from __future__ import annotations

import gzip
import re
import time

import pytest

from webapp import assets

CSS = assets.FOLDER / "css"
SCRIPTS = sorted(assets.FOLDER.rglob("*.js"))


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A static folder of one's own, read anew after every change."""
    (tmp_path / "css").mkdir()
    (tmp_path / "js").mkdir()
    (tmp_path / "css" / "main.css").write_text('@layer a;\n@import url("one.css") layer(a);\n')
    (tmp_path / "css" / "one.css").write_text("p { color: red }\n")
    (tmp_path / "js" / "main.js").write_text("export default 1;\n")
    monkeypatch.setattr(assets, "FOLDER", tmp_path)
    read_anew()
    yield tmp_path
    monkeypatch.undo()
    read_anew()


def read_anew():
    assets._shipped.cache_clear()
    assets.version.cache_clear()


def test_every_file_is_served_as_it_is_and_kept_for_a_year(client):
    for address in assets.all_urls():
        name = address.split("/", 3)[3]
        answer = client.get(address)
        assert answer.status_code == 200, name
        assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"
        assert answer.mimetype != "text/html"
        if name.endswith(".js"):
            assert answer.data.decode() == assets.bare((assets.FOLDER / name).read_text())
        elif name != assets.STYLES:
            assert answer.data == (assets.FOLDER / name).read_bytes()


def test_scripts_go_out_without_comments_on_lines_of_their_own():
    script = '// one\n/** Two,\n * of *three* lines. */\nconst a = "// no"; // stays\n  // four\n  a /* stays */ / 2;\n'
    assert assets.bare(script) == 'const a = "// no"; // stays\n  a /* stays */ / 2;\n'


def test_taking_comments_off_takes_nothing_else():
    """A text over several lines could hold one that looks like a comment: there is none."""
    for script in [*SCRIPTS, assets.FOLDER.parent / "sw.js"]:
        source = script.read_text()
        assert all(line.count("`") % 2 == 0 for line in source.splitlines()), script.name
        left, kept = assets.bare(source).splitlines(), source.splitlines()
        gone = [line.strip() for line in kept if line not in left]
        assert all(line.startswith(("//", "/**", "*")) for line in gone), script.name
        assert not any(line.strip().startswith(("//", "/**")) for line in left), script.name
        assert [line for line in kept if line in left and line.strip()] == [line for line in left if line.strip()]


def test_compressed_files_say_so_and_are_the_same(client):
    address = assets.asset_url(assets.STYLES)
    plain, small = client.get(address), client.get(address, headers={"Accept-Encoding": "gzip, br"})
    assert small.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(small.data) == plain.data
    assert len(small.data) < len(plain.data) / 2
    assert "Content-Encoding" not in plain.headers
    assert plain.headers["Vary"] == small.headers["Vary"] == "Accept-Encoding"
    assert "Content-Encoding" not in client.get(address, headers={"Accept-Encoding": "gzip;q=0"}).headers


@pytest.mark.parametrize(
    "path",
    ["{v}/css/gone.css", "{v}/css/main.css", "000000000000/css/app.css", "{v}/../app.py", "{v}/", "css/app.css", "{v}"],
)
def test_a_file_that_is_not_there_is_never_a_page(client, path):
    answer = client.get(f"/static/{path.format(v=assets.version())}")
    assert (answer.status_code, answer.mimetype) == (404, "text/plain")
    assert "immutable" not in answer.headers["Cache-Control"]


def test_the_style_sheet_holds_all_of_them_in_the_order_of_layers():
    bundle = assets.bundled(CSS / "main.css")
    assert bundle.startswith("@layer reset, tokens, base, layout, components, utilities;\n")
    assert "@import" not in bundle
    others = [each for each in CSS.rglob("*.css") if each.name != "main.css"]
    at = {each.name: bundle.index(each.read_text().strip()) for each in others}  # none is forgotten
    assert at["reset.css"] < at["tokens.css"] < at["base.css"] < at["utilities.css"] < at["print.css"]
    assert bundle[: at["print.css"]].endswith("@media print {\n")
    assert bundle[: at["base.css"]].endswith("@layer base {\n")
    assert bundle.count("{") == bundle.count("}")


def test_style_sheets_name_no_other_file():
    """They move when they are bundled, and what they name would not be found."""
    for sheet in CSS.rglob("*.css"):
        if sheet.name != "main.css":
            assert re.findall(r"url\((?!\"?(?:data:|#))", sheet.read_text()) == [], sheet.name


def test_an_import_that_cannot_be_followed_stops_the_start(folder):
    (folder / "css" / "one.css").write_text('@import "two.css";\n')
    with pytest.raises(ValueError, match="@import"):
        assets.bundled(folder / "css" / "main.css")


def test_modules_are_found_by_relative_addresses():
    served = set(assets.all_urls())
    for script in SCRIPTS:
        for named in re.findall(r"""(?:from|import)\s*\(?\s*["']([^"']+)["']""", script.read_text()):
            assert named.startswith("."), f"{script.name} imports {named}"
            target = (script.parent / named).resolve().relative_to(assets.FOLDER)
            assert assets.asset_url(target.as_posix()) in served


def test_the_version_changes_with_any_file_and_only_then(folder):
    first = assets.version()
    read_anew()
    assert assets.version() == first
    for path in sorted(each for each in folder.rglob("*") if each.is_file()):
        before = path.read_text()
        path.write_text(before.replace("1", "2").replace("red", "blue").replace("@layer a;", "@layer a, b;"))
        read_anew()
        assert assets.version() != first, path.name
        path.write_text(before)
    read_anew()
    assert assets.version() == first


def test_moving_bytes_from_one_file_to_the_next_changes_it_too(folder):
    (folder / "js" / "a.js").write_text("ab")
    (folder / "js" / "b.js").write_text("c")
    read_anew()
    first = assets.version()
    (folder / "js" / "a.js").write_text("a")
    (folder / "js" / "b.js").write_text("bc")
    read_anew()
    assert assets.version() != first


def test_a_name_that_is_wrong_is_found_when_the_page_is_made(app):
    with pytest.raises(LookupError, match=r"css/mian\.css"):
        app.jinja_env.from_string("{{ asset_url('css/mian.css') }}").render()


def test_reading_them_hardly_takes_time():
    began = time.process_time()
    read_anew()
    assert assets.version()
    assert time.process_time() - began < 0.5
