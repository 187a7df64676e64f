// Words come from the server: in <template> elements and data attributes.
/** A fresh copy of a template's only element. */
export const copy = (name) => document.getElementById(`words-${name}`).content.firstElementChild.cloneNode(true);

/** A sentence with its {gaps} filled. */
export const fill = (sentence, gaps) => sentence.replace(/\{(\w+)\}/g, (gap, name) => gaps[name] ?? gap);

/** A time of day, with its date where that is not today. */
export function clock(moment) {
  const when = new Date(moment);
  const today = when.toDateString() === new Date().toDateString();
  const shape = today ? { timeStyle: "short" } : { dateStyle: "medium", timeStyle: "short" };
  return new Intl.DateTimeFormat(ways(), shape).format(when);
}

/** The language of the page, as it is spoken where this device is at home. */
export function ways() {
  const { lang } = document.documentElement;
  return navigator.languages?.find((each) => each.split("-")[0] === lang) ?? lang;
}
