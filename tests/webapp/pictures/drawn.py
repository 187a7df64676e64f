"""Pictures as they come out of the templates, read back as XML."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

from jinja2 import Environment, FileSystemLoader

from webapp.texts import _

TEMPLATES = Path(__file__).parents[3] / "webapp" / "templates"
SVG = ".//svg"


def drawn(component: str, macro: str, *values: object) -> ElementTree.Element:
    """What a macro of components/ draws: well-formed, and without anything that the content policy forbids."""
    environment = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True)
    environment.globals["_"] = _
    source = f"{{% from 'components/{component}.html' import {macro} %}}{{{{ {macro}(*values) }}}}"
    html = environment.from_string(source).render(values=values)
    tree = ElementTree.fromstring(f"<main>{html}</main>")
    for element in tree.iter():
        assert element.tag not in ("style", "script")
        assert not [name for name in element.keys() if name == "style" or name.startswith("on")]  # noqa: SIM118
    return tree


def words_in(tree: ElementTree.Element) -> str:
    return " ".join("".join(tree.itertext()).split())
