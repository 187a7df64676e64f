"""What waits is sent in the background, with no page of the app open."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser.hands import add_place, all_sent, strip, until
from tests.browser.site import open_kept

# Pages send nothing, and do not ask for what this test does itself.
PAGES_SEND_NOTHING = """
    SyncManager.prototype.register = () => Promise.reject(new Error('not here'));
    const ask = window.fetch;
    window.fetch = async (address, options) => {
        if (address === '/ping') throw new TypeError('held');
        return ask(address, options);
    };
"""
SENT_MS, LOOK_MS, AGAIN_MS = 60_000, 200, 1500


class Worker:
    """The service worker of a page, as the browser's own tools see it."""

    def __init__(self, page):
        self._tools = page.context.new_cdp_session(page)
        self._ids = []
        self._tools.on(
            "ServiceWorker.workerRegistrationUpdated",
            lambda news: self._ids.extend(each["registrationId"] for each in news["registrations"]),
        )
        self._tools.send("ServiceWorker.enable")
        until(page, lambda: self._ids)

    def sync(self, origin):
        """What a browser does once there is a signal again."""
        what = {"origin": origin, "registrationId": self._ids[-1], "tag": "outbox", "lastChance": False}
        self._tools.send("ServiceWorker.dispatchSyncEvent", what)


def names(site):
    return [place.get("name") for place in site.document(site.job)["places"]]


def test_what_waits_is_sent_once_with_no_page_open(phone, site):
    page = phone()
    page.add_init_script(PAGES_SEND_NOTHING)
    open_kept(page, site, f"/jobs/{site.job}/places")
    worker = Worker(page)
    site.stop()
    try:
        add_place(page, "Chart table", "3")
        expect(strip(page)).to_contain_text("1 waiting")
        page.goto("about:blank")
    finally:
        site.start()
    assert "Chart table" not in names(site)
    worker.sync(f"{site.origin}/")
    for _ in range(SENT_MS // LOOK_MS):
        if "Chart table" in names(site):
            break
        page.wait_for_timeout(LOOK_MS)
    assert names(site).count("Chart table") == 1
    worker.sync(f"{site.origin}/")  # there is nothing left to send
    page.wait_for_timeout(AGAIN_MS)
    assert names(site).count("Chart table") == 1
    page.goto(f"{site.origin}/settings")
    all_sent(page)
