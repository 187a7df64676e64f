// The fields of a form as text, as the server reads them.
const NOT_FIELDS = new Set(["csrf_token", "revision", "entry", "op_id", "then", "back"]);
const PLAIN = /^\s*([+\-−]?\d+(?:[.,]\d+)?)\s*$/;
const bases = new WeakMap();

const isField = (element) => element.name && !NOT_FIELDS.has(element.name) && !["hidden", "submit", "button", "fieldset"].includes(element.type);
// asked of the browser, since lists have hundreds
const called = (form, name) => [...document.getElementsByName(name)].filter((element) => element.form === form && isField(element));

/** Names of all fields, in order. */
export const names = (form) => [...new Set([...form.elements].filter(isField).map((element) => element.name))];

/** What a field says now. */
export function text(form, name) {
  const [first, ...more] = called(form, name);
  if (!first) return "";
  if (first.type === "radio") return [first, ...more].find((each) => each.checked)?.value ?? "";
  if (first.type === "checkbox") return first.checked ? first.value : "";
  return first.value.trim();
}

/** What it said when the page was made, or what it was set to since (`setBase`). */
export function base(form, name) {
  return bases.get(form)?.[name] ?? served(form, name);
}

/** What it said when the page was made. */
export function served(form, name) {
  const [first, ...more] = called(form, name);
  if (!first) return "";
  if (first.type === "radio") return [first, ...more].find((each) => each.defaultChecked)?.value ?? "";
  if (first.type === "checkbox") return first.defaultChecked ? first.value : "";
  if (first.options) return ([...first.options].find((each) => each.defaultSelected) ?? first.options[0])?.value ?? "";
  return first.defaultValue;
}

/** From now on the field counts as changed against this text. */
export function setBase(form, name, said) {
  bases.set(form, { ...bases.get(form), [name]: said });
}

/** Put a text into a field. False if there is no such field, or no such choice. */
export function fill(form, name, said) {
  const found = called(form, name);
  if (!found.length) return false;
  for (const element of found) {
    if (element.type === "radio" || element.type === "checkbox") element.checked = element.value === said;
    else element.value = said;
    element.closest("details")?.setAttribute("open", "");
  }
  return text(form, name) === said;
}

/** What was changed: field to [old, new]. */
export function changes(form) {
  return Object.fromEntries(names(form).map((name) => [name, [base(form, name), text(form, name)]]).filter(([, [old, said]]) => old.trim() !== said));
}

/** Everything a new entry says: field to ["", new]. */
export const answers = (form) => Object.fromEntries(names(form).map((name) => [name, ["", text(form, name)]]));

/** Whether something was typed or chosen that is not saved. */
export const isDirty = (form) => Object.keys(changes(form)).length > 0;

/** Whether a plain number lies beyond what its field takes; one with a unit is for the server to judge. */
function isBeyond({ value, dataset }) {
  const number = Number(PLAIN.exec(value)?.[1].replace(",", ".").replace("−", "-"));
  return number < Number(dataset.least) || number > Number(dataset.most);
}

function isSound(element) {
  element.setCustomValidity(isBeyond(element) ? element.dataset.span : "");
  return element.validity.valid;
}

/** The first field that the page itself finds wanting: of all, or of those that were changed. */
export const lacking = (form, isAll) => [...form.elements].find((each) => isField(each) && !isSound(each) && (isAll || base(form, each.name).trim() !== text(form, each.name)));

/** What stands beside a field, for a list of changes. */
export function label(form, name) {
  const [first] = called(form, name);
  const element = first?.closest("fieldset")?.querySelector("legend") ?? first?.labels?.[0];
  return element ? [...element.childNodes].filter((node) => !node.classList?.contains("mark")).map((node) => node.textContent).join("").trim() : name;
}

/** The element that marks of a field go into. */
export function heading(form, name) {
  const [first] = called(form, name);
  return first?.type === "radio" ? first.closest("fieldset")?.querySelector("legend") : first?.labels?.[0];
}

/** The words of a choice, else its text. */
export function shown(form, name) {
  const [first] = called(form, name);
  return first?.options ? (first.selectedOptions[0]?.textContent.trim() ?? "") : text(form, name);
}
