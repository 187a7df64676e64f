"""Makes the pictures of the README and of docs/screens anew: `make screens`."""

from __future__ import annotations

import shutil
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser

from tests.browser import real
from tests.browser.shelf import asked, planned, read_first

PICTURES = real.ROOT / "docs" / "screens"
MOST_BYTES = 1_500_000
SHOWN = "library van"
HOURS_ON_INVERTER = 22.5  # that job, as “What if” says
PAPER = {"width": 794, "height": 1123}  # A4 in points of a screen
WIDE = {"width": 1280, "height": 800}

# Name of the picture, address of the page, and what it shows.
PHONE = (
    ("jobs", "/", "Jobs"),
    ("battery", "/jobs/{job}/battery", "The battery"),
    ("places", "/jobs/{job}/places", "Places and runs"),
    ("loads", "/jobs/{job}/loads", "Loads"),
    ("limits", "/jobs/{job}/limits", "Limits"),
    ("plan", "/plans/{plan}", "The plan: total and proof"),
    ("buy", "/plans/{plan}/buy", "Parts to buy"),
    ("cuts", "/plans/{plan}/cut", "The cut list"),
    ("cut-line", "/plans/{plan}/cut/line", "One cut at a time"),
    ("labels", "/plans/{plan}/labels", "Fuse schedule and labels"),
    ("wiring", "/plans/{plan}/wiring", "The wiring sketch"),
    ("build", "/plans/{plan}/build", "Build steps"),
    ("record", "/plans/{plan}/record", "Measured values"),
    ("what-if", "/jobs/{job}/what-if", "What if it were done differently?"),
    ("settings", "/settings", "This device"),
)
BESIDE = (("compare", "/compare?plan={plan}&plan={kept}", "Two plans side by side"),)
DARK = ("loads", "plan")
SUN = ("buy",)
PRINTED = ("cuts", "labels", "wiring")
DESK = ("plan",)
INSTALLER = ("loads", "plan", "cuts", "plan-wide")  # what a browser shows before it installs the app
SHIPPED = real.ROOT / "webapp" / "static" / "screens"


def main() -> None:
    """Plan a demo job on a fresh server, take the pictures and list them."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    for old in PICTURES.glob("*.png"):
        old.unlink()
    with TemporaryDirectory() as folder, real.served(Path(folder)) as origin, real.chromium() as browser:
        jobs = {job["title"]: job["id"] for job in asked(f"{origin}/api/jobs")["jobs"]}
        ids = {title: planned(origin, job, "optimal", "feasible", "infeasible") for title, job in jobs.items()}
        title = next(each for each in jobs if SHOWN in each)
        read_first(origin, ids[title])
        known = {"job": jobs[title], "plan": ids[title]}
        pages = {name: origin + path.format(**known) for name, path, _ in PHONE}
        take(browser, pages, "")
        known["kept"] = inverter_kept(origin, jobs[title])  # another job in the list, so later
        take(browser, {name: origin + path.format(**known) for name, path, _ in BESIDE}, "")
        take(browser, {name: pages[name] for name in DARK}, "-dark", color_scheme="dark")
        take(browser, {name: pages[name] for name in SUN}, "-sun", sun=True)
        take(browser, {name: pages[name] for name in PRINTED}, "-print", paper=True, viewport=PAPER, is_mobile=False)
        take(browser, {name: pages[name] for name in DESK}, "-wide", viewport=WIDE, is_mobile=False)
    for name in INSTALLER:
        shutil.copy(PICTURES / f"{name}.png", SHIPPED)
    (PICTURES / "README.md").write_text(gallery())
    whole = sum(each.stat().st_size for each in PICTURES.glob("*.png"))
    print(f"{len(list(PICTURES.glob('*.png')))} pictures, {whole // 1000} kB")
    assert whole <= MOST_BYTES


def inverter_kept(origin: str, job_id: str) -> str:
    """The same job for no more hours than it lasts on the inverter, planned: what “What if” makes of it."""
    document = asked(f"{origin}/api/jobs/{job_id}")["document"]
    fewer = document["limits"] | {"autonomy_h": HOURS_ON_INVERTER}
    twin = asked(f"{origin}/api/jobs", document | {"title": "Inverter kept", "limits": fewer})
    return planned(origin, twin["id"], "optimal", "feasible")


def take(
    browser: Browser, pages: dict[str, str], suffix: str, *, sun: bool = False, paper: bool = False, **changes: object
) -> None:
    """One picture of each page."""
    context = browser.new_context(**(real.PHONE | {"color_scheme": "light"} | changes))
    page = context.new_page()
    for name, address in pages.items():
        if sun:
            context.add_cookies([{"name": "sun", "value": "on", "url": address}])
        page.goto(address, wait_until="networkidle")
        if paper:
            page.emulate_media(media="print")
        page.screenshot(path=PICTURES / f"{name}{suffix}.png", animations="disabled")
    context.close()


def gallery() -> str:
    """The page that shows them all."""
    words = {name: called for name, _, called in PHONE + BESIDE}
    groups = (
        ("On a phone", words, ""),
        ("In the dark", DARK, "-dark"),
        ("In bright sun", SUN, "-sun"),
        ("Printed", PRINTED, "-print"),
        ("On a desk", DESK, "-wide"),
    )
    lines = ["# Screens", "", "Taken by `make screens`, on a phone of 360 by 740 points where nothing else is said."]
    for heading, names, suffix in groups:
        lines += ["", f"## {heading}", ""]
        lines += [f"![{words[name]}]({name}{suffix}.png)" for name in names]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    main()
