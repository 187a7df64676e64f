// Shows a time, which the server writes in UTC, in the zone of this device and the language of the page.
const DAY = { day: "numeric", month: "short", year: "numeric" };
const TIME = { hour: "2-digit", minute: "2-digit" };

export default class Moment {
  constructor(element) {
    const when = new Date(element.dateTime);
    element.textContent = new Intl.DateTimeFormat(ways(), shapeOf(element.dataset, when)).format(when);
  }
}

/** Day and time; where the near one will do, the time of today or the day. */
function shapeOf({ near, zone }, when) {
  if (near === undefined) return { ...DAY, ...TIME, ...(zone !== undefined && { timeZoneName: "short" }) };
  return when.toDateString() === new Date().toDateString() ? TIME : DAY;
}

/** The language of the page, as it is spoken where this device is at home. */
function ways() {
  const { lang } = document.documentElement;
  return navigator.languages.find((each) => each.split("-")[0] === lang) ?? lang;
}
