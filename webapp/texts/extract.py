"""`make texts`: finds every text there is and brings the files of the languages up to date.

A text is found where `_`, `N_`, `ngettext` or `words.counted` is called with it, in Python and in templates. What is
new comes without a translation, what nobody uses any more is taken out; the exit code is 1 while anything is missing.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from babel.messages import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

FOLDER = Path(__file__).parent
SEARCHED = FOLDER.parent
METHODS = [("templates/**.html", "jinja2.ext:babel_extract"), ("**.py", "python")]
KEYWORDS: dict[str, Any] = {"_": None, "N_": None, "ngettext": (1, 2), "counted": (1, 2)}
HEADER = """# Texts of Thriftloom. `make texts` keeps this file: fill in what it leaves empty.
msgid ""
msgstr ""
"Language: {language}\\n"
"Plural-Forms: {plural}\\n"
"Content-Type: text/plain; charset=utf-8\\n"

"""


def found() -> Catalog:
    """Every text of the source, untranslated."""
    catalogue = Catalog(charset="utf-8")
    for file, _line, text, comments, _context in sorted(
        extract_from_dir(SEARCHED, METHODS, keywords=KEYWORDS, comment_tags=("Texts:",)), key=lambda each: each[:2]
    ):
        catalogue.add(text, locations=[(f"webapp/{file}", 0)], auto_comments=comments)
    return catalogue


def stored(file: Path) -> Catalog:
    """A language as it stands."""
    with file.open(encoding="utf-8") as lines:
        return read_po(lines, locale=file.stem)


def missing(catalogue: Catalog) -> list[str]:
    """Texts without a translation, or with one that nobody has confirmed."""
    return [_id(message) for message in catalogue if message.id and (message.fuzzy or not _is_full(message))]


def bring_up_to_date(file: Path) -> list[str]:
    """Write a language anew; what it lacks then."""
    catalogue = stored(file) if file.exists() else Catalog(locale=file.stem, charset="utf-8")
    catalogue.update(found(), no_fuzzy_matching=True)
    catalogue.obsolete.clear()
    header = HEADER.format(language=file.stem, plural=catalogue.plural_forms)
    with file.open("wb") as out:
        out.write(header.encode())
        write_po(out, catalogue, sort_output=True, include_lineno=False, width=0, omit_header=True)
    return missing(catalogue)


def _is_full(message: Message) -> bool:
    said = message.string if isinstance(message.string, list | tuple) else (message.string,)
    return bool(said) and all(said)


def _id(message: Message) -> str:
    return str(message.id[0] if isinstance(message.id, list | tuple) else message.id)


def main() -> int:
    """Bring every language up to date and say what it lacks."""
    lacking = {file: bring_up_to_date(file) for file in sorted(FOLDER.glob("*.po"))}
    for file, texts in lacking.items():
        for text in texts:
            sys.stderr.write(f"{file.name}: not translated: {text}\n")
    return 1 if any(lacking.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
