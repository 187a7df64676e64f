"""The offer to keep the app on this device."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser.hands import anew, begun

OFFERED = """() => {
  self.shifted = 0
  new PerformanceObserver((list) => { for (const each of list.getEntries()) self.shifted += each.value })
    .observe({ type: "layout-shift", buffered: false })
  const offer = new Event("beforeinstallprompt", { cancelable: true })
  offer.prompt = () => { document.body.dataset.asked = "yes" }
  return !dispatchEvent(offer)
}"""
SHIFTED = "() => new Promise((done) => requestAnimationFrame(() => setTimeout(() => done(self.shifted), 100)))"


def offered(page):
    """Whether the page takes it upon itself to ask, when the browser says that it may."""
    begun(page)
    return page.evaluate(OFFERED)


def test_where_the_browser_offers_it_a_card_asks_once_and_moves_nothing(a_phone, shelf):
    page = a_phone()
    page.goto(shelf.origin)
    card = page.get_by_role("complementary", name="Keep Thriftloom on this device")
    expect(card).to_have_count(0)
    assert offered(page)
    expect(card).to_be_visible()
    assert page.evaluate(SHIFTED) == 0
    for button in card.get_by_role("button").all():
        assert button.bounding_box()["height"] >= 44
    button = page.get_by_role("link", name="New job").bounding_box()
    assert card.bounding_box()["y"] + card.bounding_box()["height"] <= button["y"]
    card.get_by_role("button", name="No, thanks").tap()
    expect(card).to_have_count(0)
    anew(page)
    assert not offered(page)
    expect(card).to_have_count(0)


def test_whoever_takes_the_offer_is_asked_by_the_browser(a_phone, shelf):
    page = a_phone()
    page.goto(shelf.origin)
    assert offered(page)
    page.get_by_role("button", name="Keep it").tap()
    expect(page.locator("body")).to_have_attribute("data-asked", "yes")
    expect(page.locator(".install")).to_be_hidden()
