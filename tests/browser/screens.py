"""Makes the pictures of README.md anew: `make screens`."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Page

from tests.browser import real

PICTURES = real.ROOT / "docs" / "screens"
JOBS = ("relay hut", "library van", "camera mast")
SHOWN = "library van"


def main() -> None:
    """Plan the demo jobs on a fresh server and take the pictures."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory() as folder, real.served(Path(folder)) as origin, _phone() as page:
        for title in JOBS:
            real.plan_of(page, origin, title)
        page.goto(origin)
        _take(page, "jobs")
        page.get_by_role("link", name=SHOWN).click()
        _take(page, "plan")
        page.get_by_role("link", name="Cut", exact=True).click()
        _take(page, "cuts")


@contextmanager
def _phone() -> Iterator[Page]:
    with real.chromium() as browser:
        yield browser.new_context(**real.PHONE, device_scale_factor=2, color_scheme="light").new_page()


def _take(page: Page, name: str) -> None:
    path = PICTURES / f"{name}.png"
    page.screenshot(path=path)
    print(f"{path.relative_to(real.ROOT)}: {path.stat().st_size // 1000} kB")


if __name__ == "__main__":
    main()
