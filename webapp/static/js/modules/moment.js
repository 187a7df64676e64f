// Shows a time, which the server writes in UTC, in the zone of this device and the language of the page.
const SHAPE = { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit" };

export default class Moment {
  constructor(element) {
    const shape = "zone" in element.dataset ? { ...SHAPE, timeZoneName: "short" } : SHAPE;
    element.textContent = new Intl.DateTimeFormat(ways(), shape).format(new Date(element.dateTime));
  }
}

/** The language of the page, as it is spoken where this device is at home. */
function ways() {
  const { lang } = document.documentElement;
  return navigator.languages.find((each) => each.split("-")[0] === lang) ?? lang;
}
