// No page loads anew under a hand: what is tapped at that moment would be lost.
const STILL_MS = 1000;
const LEAVING_MS = 15_000; // as long as a page is waited for
const ELSEWHERE = 'a[href]:not([href^="#"])';
let busyUntil = 0;

const busy = (ms) => (busyUntil = Math.max(busyUntil, performance.now() + ms));

for (const kind of ["pointerdown", "pointerup", "pointercancel"]) addEventListener(kind, () => busy(STILL_MS), true);
addEventListener("click", ({ target, defaultPrevented }) => defaultPrevented || !target.closest(ELSEWHERE) || busy(LEAVING_MS));
addEventListener("submit", ({ defaultPrevented }) => defaultPrevented || busy(LEAVING_MS));
addEventListener("pageshow", ({ persisted }) => persisted && (busyUntil = 0)); // back again

/** Another page was asked for: this one is not to load anew in its place. */
export const leaving = () => busy(LEAVING_MS);

/** Do it once no hand has touched the page for a moment, and nothing that was tapped is on its way to another page. */
export function whenStill(act) {
  const rest = busyUntil - performance.now();
  if (rest > 0) setTimeout(() => whenStill(act), rest);
  else act();
}
