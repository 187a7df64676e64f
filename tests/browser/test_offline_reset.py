"""A server that comes back empty, while a device still holds its jobs and what waits for them."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser.hands import add_place, begin, strip
from tests.browser.site import Site, open_kept


def test_what_an_emptied_server_cannot_take_is_kept_and_said(phone, tmp_path):
    before, after = Site(tmp_path / "before"), Site(tmp_path / "after")
    after.port, after.origin = before.port, before.origin
    before.start()
    try:
        page = phone()
        open_kept(page, before, f"/jobs/{before.job}/places")
        typing = page.context.new_page()
        typing.goto(f"{before.origin}/jobs/{before.job}/limits")
        typing.locator("[name=headroom_pct]").fill("33")
        before.stop()
        add_place(page, "Of the lost job", "2")
        page.goto(f"{before.origin}/jobs/new")
        begin(page, "Begun here")
        add_place(page, "Locker", "3")
        after.start()
        typing.get_by_role("button", name="Save only").click()
        expect(strip(typing)).to_contain_text("Needs you (2)")
        page.goto(f"{before.origin}/settings")
        expect(strip(page)).to_have_text("Needs you (2)")
        lost = page.locator("[data-part=list]")
        expect(lost.get_by_text("What this belongs to is no longer on the server.")).to_have_count(2)
        expect(lost).to_contain_text("Of the lost job")
        expect(lost).to_contain_text("Limits: Room to spare in every converter, percent: 33")
        assert [place["name"] for place in after.job_called("Begun here")["places"]] == ["Locker"]
        assert after.titles().count("Begun here") == 1
    finally:
        before.close()
        after.close()
