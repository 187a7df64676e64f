// The way back under the thumb, for whoever came to look something up from another page of ours.
export default class Back {
  constructor(element) {
    const from = document.referrer && new URL(document.referrer);
    if (!from || from.origin !== location.origin || from.pathname === location.pathname || history.length < 2) return;
    element.hidden = false;
    element.querySelector("button").addEventListener("click", () => history.back());
  }
}
