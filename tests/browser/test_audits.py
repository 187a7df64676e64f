"""Every screen, audited in a real browser: for everybody, on every width, by thumb and by key, light and lean."""

from __future__ import annotations

import gzip
import re
from collections import Counter

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser import real
from tests.browser.every_screen import every_screen, fetched
from webapp import assets
from webapp.app import create_app
from webapp.config import Config

AXE = Axe().axe_script
AUDIT = (real.ROOT / "tests" / "browser" / "audit.js").read_text()
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
EVERYTHING = {
    "runOnly": {"type": "tag", "values": TAGS},
    "rules": {"target-size": {"enabled": True}, "label-content-name-mismatch": {"enabled": True}},
    "resultTypes": ["violations"],
}
COLOURS = {"runOnly": ["color-contrast"], "resultTypes": ["violations"]}  # all else is the same page
LIGHTS = {
    "by day": ("light", None, EVERYTHING),
    "by night": ("dark", None, COLOURS),
    "in bright sun": ("light", "sun", COLOURS),
}
HTML_BYTES, LIST_BYTES, PAPER_BYTES = 14_000, 16_000, 22_000
SCRIPT_BYTES, STYLE_BYTES, FIRST_LOAD_BYTES = 40_000, 20_000, 150_000
TABS, TABS_BACK = 40, 25


@pytest.fixture(scope="module")
def screens(tmp_path_factory, shelf):
    return every_screen(create_app(Config.at(tmp_path_factory.mktemp("routes"), testing=True)), shelf)


@pytest.fixture
def walk(a_phone, shelf, screens):
    """Open one screen after the other on a phone and collect what is said of each."""

    def go(look, cookies=None, **changes):
        page = a_phone(**changes)
        page.context.add_cookies(
            [{"name": name, "value": value, "url": shelf.origin} for name, value in (cookies or {}).items()]
        )
        found = {}
        for screen in screens:
            page.goto(shelf.origin + screen.path)
            page.evaluate(AUDIT)
            if faults := look(page):
                found[screen.path] = faults
        return found

    return go


def nothing(found):
    assert not found, "\n".join(f"{path}: {faults}" for path, faults in found.items())


def light_up(page, scheme, theme):
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    if theme is not None:
        page.evaluate("(theme) => { document.documentElement.dataset.theme = theme; }", theme)


def axe(page, options):
    found = page.evaluate("(options) => axe.run(options)", options)
    return {each["id"]: [node["html"][:160] for node in each["nodes"][:3]] for each in found["violations"]}


def test_the_main_screens_are_among_them(screens, shelf):
    """Asking the app finds them: nobody has to name them."""
    paths = [screen.path for screen in screens]
    steps = ("battery", "places", "loads", "limits", "owned", "loads/new", "loads/0", "places/0")
    parts = ("", "/buy", "/cut", "/cut/line", "/labels", "/wiring", "/build", "/record", "/proof", "/docket")
    expected = {
        "/",
        "/bin",
        "/compare",
        "/jobs/new",
        "/settings",
        "/words",
        *(f"/jobs/{shelf.van}/{step}" for step in steps),
    }
    expected |= {f"/plans/{shelf.van_plan}{part}" for part in parts}
    assert expected - set(paths) == set()
    assert len(set(paths)) == len(paths)


def test_axe_finds_nothing(walk):
    """By day, by night and in bright sun."""

    def look(page):
        page.evaluate("audit.openSome()")
        page.evaluate("audit.unstick()")
        page.evaluate(AXE)
        faults = {}
        for name, (scheme, theme, options) in LIGHTS.items():
            light_up(page, scheme, theme)
            faults |= {f"{name}: {fault}": where for fault, where in axe(page, options).items()}
        return faults

    nothing(walk(look))


def test_axe_does_look(a_phone, shelf):
    page = a_phone()
    page.goto(shelf.origin)
    page.evaluate(AXE)
    page.evaluate("document.querySelector('main a').style.color = '#ccc'")
    assert "color-contrast" in axe(page, EVERYTHING)
    assert "color-contrast" in axe(page, COLOURS)
    page.evaluate("document.querySelector('main a').style.color = '#333'")
    assert "color-contrast" not in axe(page, COLOURS)
    light_up(page, "dark", None)
    assert "color-contrast" in axe(page, COLOURS)
    light_up(page, "light", "sun")
    assert "color-contrast" not in axe(page, COLOURS)
    page.evaluate("document.querySelector('main a').style.color = '#ccc'")
    assert "color-contrast" in axe(page, COLOURS)
    page.evaluate("document.querySelector('main a').setAttribute('aria-label', 'Something else')")
    assert "label-content-name-mismatch" in axe(page, EVERYTHING)


def test_nothing_is_wider_than_a_screen_or_cut_off_on_a_small_one(walk):
    def look(page):
        page.set_viewport_size({"width": 320, "height": 640})
        page.evaluate("audit.openSome()")
        faults = page.evaluate("[...audit.sideways(), ...audit.clipped()]")
        for width in (768, 1280):
            page.set_viewport_size({"width": width, "height": 800})
            faults += page.evaluate("audit.sideways()")
        return faults

    # Bright sun, because its type is the largest.
    nothing(walk(look, {"sun": "on"}, is_mobile=False))


def test_text_can_be_twice_as_large_or_spaced_out(walk):
    def look(page):
        page.evaluate("audit.openSome()")
        page.evaluate("audit.largerText()")
        larger = page.evaluate("[...audit.sideways(), ...audit.clipped()].map((each) => `larger: ${each}`)")
        page.evaluate("audit.spacedText()")
        return larger + page.evaluate("[...audit.sideways(), ...audit.clipped()].map((each) => `spaced: ${each}`)")

    nothing(walk(look, is_mobile=False))


def test_everything_to_tap_is_large_enough_for_a_thumb(walk):
    def look(page):
        page.evaluate("audit.openSome()")
        return page.evaluate("audit.smallTargets()")

    nothing(walk(look))


def test_by_key_one_always_sees_where_one_is(walk):
    nothing(walk(tabbed, is_mobile=False, has_touch=False))


def tabbed(page):
    """Faults on the way through a page by Tab, and back up from its end, where bars at the top would hide things."""
    faults = page.evaluate("audit.wrongOrder()")
    for key, most in (("Tab", TABS), ("Shift+Tab", TABS_BACK)):
        for _ in range(most):
            page.keyboard.press(key)
            at = page.evaluate("audit.focused()")
            if at is None:
                break
            if at["fault"]:
                faults.append(f"{key}: {at['name']}: {at['fault']}")
    return faults


def test_the_audits_see_what_they_look_for(a_phone, shelf):
    """Each of them, on a page that was spoilt for it."""
    page = a_phone(is_mobile=False)
    page.goto(shelf.origin)
    page.evaluate(AUDIT)
    assert page.evaluate("[audit.smallTargets(), audit.sideways(), audit.clipped(), audit.wrongOrder()]") == [[]] * 4
    page.evaluate("""() => {
        const spoilt = document.createElement('div');
        const small = Object.assign(document.createElement('button'), { textContent: 'x', tabIndex: 3 });
        small.style.cssText = 'padding: 0; min-height: 0; min-width: 0; outline: none; height: 12px; width: 12px';
        const narrow = Object.assign(document.createElement('p'), { textContent: 'many words that are cut' });
        narrow.style.cssText = 'overflow: hidden; width: 40px; height: 12px';
        const wide = document.createElement('p');
        wide.style.cssText = 'width: 900px; height: 1px';
        spoilt.append(small, narrow, wide);
        document.querySelector('main').append(spoilt);
    }""")
    for one in ("smallTargets", "sideways", "clipped", "wrongOrder"):
        assert page.evaluate(f"audit.{one}()"), one
    page.evaluate("document.querySelector('main button[tabindex]').focus()")
    assert page.evaluate("audit.focused()")["fault"] == "no ring"
    page.evaluate("""() => {
        const head = document.querySelector('.case');
        head.replaceChildren(); // nothing of it but itself may lie over the button
        head.style.cssText = 'position: fixed; inset: 0; z-index: 9';
    }""")
    assert page.evaluate("audit.focused()")["fault"].startswith("hidden by header.case")


def test_the_page_that_is_not_there_is_for_everybody_too(chromium, shelf):
    page = real.patient(chromium.new_context(**real.PHONE)).new_page()
    page.goto(f"{shelf.origin}/nowhere")
    page.evaluate(AUDIT)
    page.evaluate(AXE)
    assert axe(page, EVERYTHING) == {}
    assert page.evaluate("[audit.smallTargets(), audit.sideways(), audit.clipped()]") == [[], [], []]
    page.context.close()


def test_every_screen_has_a_title_of_its_own_and_one_heading(screens):
    titles = Counter()
    for path, html in {screen.path.split("?")[0]: screen.html.text for screen in screens}.items():
        (title,) = re.findall(r"<title>(.*?)</title>", html, re.DOTALL)
        assert len(re.findall(r"<h1[ >]", html)) == 1, path
        titles[" ".join(title.split())] += 1
    assert [title for title, times in titles.items() if times > 1] == []


def test_every_screen_is_light(screens):
    most = {True: LIST_BYTES, False: HTML_BYTES}
    sizes = {
        screen.path: (screen.html.sent_bytes, PAPER_BYTES if screen.is_paper else most[screen.is_list])
        for screen in screens
    }
    assert {path: size for path, (size, most_bytes) in sizes.items() if size > most_bytes} == {}


def test_scripts_and_styles_are_few():
    sizes = Counter()
    for name, asset in assets._shipped().items():
        sizes[name.rpartition(".")[2]] += len(asset.gzipped or asset.body)
    assert 0 < sizes["js"] <= SCRIPT_BYTES
    assert 0 < sizes["css"] <= STYLE_BYTES


def test_a_first_visit_weighs_little(chromium, shelf):
    """All that one page and what it asks for weigh on the air, headers too."""
    for path in ("/", f"/jobs/{shelf.van}/loads", f"/plans/{shelf.van_plan}"):
        context = real.patient(chromium.new_context(**real.PHONE))
        page = context.new_page()
        watch, came = context.new_cdp_session(page), []
        watch.send("Network.enable")
        watch.on("Network.loadingFinished", lambda event, came=came: came.append(event["encodedDataLength"]))
        page.goto(shelf.origin + path, wait_until="networkidle")
        context.close()
        assert len(came) >= 3
        assert 5_000 < sum(came) <= FIRST_LOAD_BYTES, path


def test_a_page_goes_out_compressed(shelf):
    answer = fetched(shelf.origin, "/jobs/new")
    assert answer.sent_bytes < len(answer.text) / 2
    assert answer.sent_bytes > len(gzip.compress(b"")) + 100
