// Judges a typed figure as the server does, without a signal. Words, limits and what units are worth are the server's.
const SPACE = "[ \\u00a0\\u2009\\u202f]";
const AS_KEPT = /^[+-]?\d+([.,]\d+)?$/;
const TYPED = new RegExp(`^([+\\-−]?)\\s*(\\d{1,3}(?:${SPACE}\\d{3})+(?:[.,]\\d+)?|\\d+(?:[.,]\\d+)?|[.,]\\d+)\\s*(.*)$`, "s");
const FEET_INCHES = /^(\d+)\s*(?:'|′|ft|feet|foot)\s*(\d+(?:[.,]\d+)?)\s*(?:"|″|in|inch|inches)$/;
const TWO_WAYS = { ".": /^[1-9]\d{0,2},\d{3}$/, ",": /^[1-9]\d{0,2}\.\d{3}$/ }; // by decimal sign
const MEGA = ["Mw", "Ma", "Mv"];
const MOST_CHARS = 40;
const DUST = 1e9;

export default class Recheck {
  #element;
  #input;

  constructor(element) {
    this.#element = element;
    this.#input = element.querySelector("input");
    this.#input.addEventListener("change", () => this.#judge());
    addEventListener("marked", ({ detail }) => detail.key === this.#input.name && this.#judge());
    this.#judge(); // hands can be faster than this module
  }

  #judge() {
    const { least, most, kind } = this.#element.dataset;
    const worth = JSON.parse(document.getElementById("worth").dataset.units)[kind];
    const verdict = judged(this.#input.value, Number(least), Number(most), worth, document.documentElement.dataset.point);
    for (const each of this.#element.querySelectorAll("[data-verdict]")) each.hidden = each.dataset.verdict !== verdict;
    const isNone = verdict === "unreadable"; // still to be measured
    if (isNone === this.#input.hasAttribute("data-unread")) return;
    this.#input.toggleAttribute("data-unread", isNone);
    dispatchEvent(new Event("judged"));
  }
}

/** What the server says. `worth` is what each unit is worth in the one that the field shows, `point` the decimal sign. */
export function judged(text, least, most, worth, point) {
  if (!text.trim()) return "";
  const value = read(text.trim(), worth, point);
  if (Number.isNaN(value)) return "unreadable";
  if (value < 0) return "reversed";
  return value < least ? "below" : value > most ? "above" : "within";
}

function read(text, worth, point) {
  if (AS_KEPT.test(text)) return plain(text);
  if (text.length > MOST_CHARS) return NaN;
  const [, feet, inches] = (worth.ft && FEET_INCHES.exec(text.toLowerCase())) || [];
  if (feet) return tidy(feet * worth.ft + number(inches, point) * worth.in);
  const [, sign, digits, rest] = TYPED.exec(text) ?? [];
  if (digits === undefined) return NaN;
  const unit = rest.trim().replace(/\.+$/, "");
  const isMega = MEGA.includes(unit[0] + unit.slice(1).toLowerCase());
  return isMega ? NaN : tidy((sign && sign !== "+" ? -1 : 1) * number(digits, point) * (worth[unit.toLowerCase()] ?? NaN));
}

const plain = (digits) => Number(digits.replace(",", "."));
const number = (digits, point) => (TWO_WAYS[point].test(digits) ? NaN : plain(digits.replace(new RegExp(SPACE, "g"), "")));
const tidy = (value) => Math.round(value * DUST) / DUST;
