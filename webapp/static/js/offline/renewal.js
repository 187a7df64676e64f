// A copy from before the last change gives way to the page itself once that is here. Not under typing hands.
import { isAtWork } from "./drafts.js";
import { isSaving } from "./jots.js";
import { copy } from "./page.js";

/** Wait for the page that this copy stands in for. */
export async function start() {
  const known = await copy;
  if (!known?.isBefore) return;
  navigator.serviceWorker.addEventListener("message", ({ data }) => data === "newer" && giveWay());
  if (known.isOver) giveWay();
}

function giveWay() {
  if (isAtWork() || isSaving()) dispatchEvent(new Event("newer"));
  else location.reload();
}
