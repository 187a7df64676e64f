// Shows a time, which the server writes in UTC, in the zone of this device and the language of the page. Or tells the
// server, in a field of a form, which day it is here.
import { ways } from "../offline/words.js";

const DAY = { dateStyle: "medium" };
const TIME = { timeStyle: "short" };
const WITH_ZONE = { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit", timeZoneName: "short" };

export default class Moment {
  constructor(element) {
    if (element.form) element.value = today();
    else this.#show(element);
  }

  #show(element) {
    const when = new Date(element.dateTime);
    element.textContent = new Intl.DateTimeFormat(ways(), shapeOf(element.dataset, when)).format(when);
  }
}

/** The day in this zone, as 2030-01-31. */
function today() {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

/** Day and time; where the near one will do, the time of today or the day. */
function shapeOf({ near, zone }, when) {
  if (near === undefined) return zone === undefined ? { ...DAY, ...TIME } : WITH_ZONE;
  return when.toDateString() === new Date().toDateString() ? TIME : DAY;
}
