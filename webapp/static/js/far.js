// Long pages answer a tap at once: what is far from the screen does not take part in it. Only once all of it has been drawn:
// its size is known then, so that nothing moves and every anchor and place scrolled to is where it was.
const PARTS = ".section, .page > .proof, .cards > .card, .words__one, .marks > .spool"; // none within another
const NEAR = 2.5; // screens; the browser draws one and a half ahead

export function start() {
  if (document.readyState === "complete") afterNextPicture();
  else addEventListener("load", afterNextPicture);
  matchMedia("(orientation: portrait)").addEventListener("change", drawAll); // no size holds any more
}

const afterNextPicture = () => requestAnimationFrame(() => setTimeout(begin));

function begin() {
  leaveFar();
  let before = scrollY;
  const leapt = () => {
    if (Math.abs(scrollY - before) > innerHeight) leaveFar(); // else the browser shows an empty picture first
    before = scrollY;
  };
  addEventListener("scroll", leapt, { passive: true });
}

function leaveFar() {
  const near = NEAR * innerHeight;
  const boxes = [...document.querySelectorAll(PARTS)].map((part) => [part, part.getBoundingClientRect()]);
  for (const [part, { top, bottom }] of boxes) part.classList.toggle("far", top > near || bottom < -near);
}

function drawAll() {
  for (const part of document.querySelectorAll(PARTS)) part.classList.remove("far");
}

/** What is about to be shown for the first time: only what the screen has room for is drawn at once. */
export function showLater(page) {
  for (const part of page.querySelectorAll(PARTS)) part.classList.add("far");
}
