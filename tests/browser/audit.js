// What the audits measure inside a page. Playwright puts it there; no page of ours loads it.
(() => {
  const TARGETS = "a[href], button, summary, select, textarea, input:not([type=hidden])";
  const LEAST = 43.5; // 44, less what rounding takes

  const named = (element) => {
    const words = (element.getAttribute("aria-label") ?? element.textContent).trim().replace(/\s+/g, " ").slice(0, 40);
    const kind = element.localName + (element.className && element.className.baseVal === undefined ? `.${[...element.classList].join(".")}` : "");
    return `${kind} «${words || element.name || ""}»`;
  };

  const isShown = (element) => {
    const box = element.getBoundingClientRect();
    return element.checkVisibility({ visibilityProperty: true }) && !element.disabled && box.right > 0;
  };

  // A box to tick is tapped by its label as well.
  const touched = (element) => [element, ...(["checkbox", "radio"].includes(element.type) ? element.labels ?? [] : [])];

  const areaOf = (element) => {
    const boxes = touched(element).map((each) => each.getBoundingClientRect());
    const [left, top] = [Math.min(...boxes.map((box) => box.left)), Math.min(...boxes.map((box) => box.top))];
    const [right, bottom] = [Math.max(...boxes.map((box) => box.right)), Math.max(...boxes.map((box) => box.bottom))];
    return { left, top, width: right - left, height: bottom - top };
  };

  // WCAG 2.5.8 leaves out what stands in a sentence: its size is that of the text around it.
  const isInSentence = (element) => {
    if (getComputedStyle(element).display !== "inline") return false;
    let around = element.parentElement;
    while (getComputedStyle(around).display === "inline") around = around.parentElement;
    return around.textContent.trim().length > element.textContent.trim().length;
  };

  // A page that has just come takes no tap yet: what is looked at is how it stays.
  const hitAt = (x, y) => {
    for (const each of document.body.getAnimations()) each.finish();
    return document.elementFromPoint(x, y);
  };

  // The part that reacts may be larger than the box, by a ::before that covers a row.
  const reactsAround = (element) => {
    element.scrollIntoView({ block: "center" });
    const area = areaOf(element);
    const [x, y] = [area.left + area.width / 2, area.top + area.height / 2];
    const reach = LEAST / 2 - 0.5;
    return [[-reach, 0], [reach, 0], [0, -reach], [0, reach]].every(([across, down]) => {
      const hit = hitAt(x + across, y + down);
      return hit && touched(element).some((each) => each.contains(hit));
    });
  };

  const isInsideScroller = (element) => element !== document.body && (["auto", "scroll"].includes(getComputedStyle(element).overflowX) || isInsideScroller(element.parentElement));

  // Clipped away; what can be reached by key all the same is found by focused().
  const isForReadersOnly = (element) => element.closest(".unseen") !== null;

  window.audit = {
    openSome() {
      // What is far from the screen has no sizes to measure until it is drawn: js/far.js.
      const all = new CSSStyleSheet();
      all.replaceSync(".far { content-visibility: visible !important; }");
      document.adoptedStyleSheets = [...document.adoptedStyleSheets, all];
      for (const each of document.querySelectorAll("details.more")) each.open = true;
      for (const each of [...document.querySelectorAll("details")].slice(0, 12)) each.open = true;
    },

    // What sticks to an edge always covers something, which is scrolled away from under it. For focus see focused().
    unstick() {
      for (const each of document.body.querySelectorAll("*")) {
        if (["sticky", "fixed"].includes(getComputedStyle(each).position)) each.style.position = "static";
      }
    },

    smallTargets() {
      return [...document.querySelectorAll(TARGETS)]
        .filter((each) => isShown(each) && !isInSentence(each) && !isForReadersOnly(each))
        .map((each) => [each, areaOf(each)])
        .filter(([each, area]) => (area.width < LEAST || area.height < LEAST) && !reactsAround(each))
        .map(([each, area]) => `${named(each)} ${Math.round(area.width)}×${Math.round(area.height)}`);
    },

    // Wider than the screen, and who does it.
    sideways() {
      const wide = document.documentElement.clientWidth;
      if (document.documentElement.scrollWidth <= wide) return [];
      const culprits = [...document.body.querySelectorAll("*")].filter(
        (each) => each.getBoundingClientRect().right > wide + 0.5 && each.checkVisibility() && !isInsideScroller(each.parentElement)
      );
      return [`${document.documentElement.scrollWidth} > ${wide}`, ...culprits.slice(-3).map(named)];
    },

    // Text that its own box cuts off.
    clipped() {
      return [...document.body.querySelectorAll("*")]
        .filter((each) => {
          const style = getComputedStyle(each);
          const hides = [style.overflowX, style.overflowY].some((way) => ["hidden", "clip"].includes(way));
          if (!hides || !each.textContent.trim() || !each.checkVisibility() || isForReadersOnly(each)) return false;
          return each.scrollWidth > each.clientWidth + 1 || each.scrollHeight > each.clientHeight + 1;
        })
        .map(named);
    },

    largerText() {
      document.documentElement.style.fontSize = "200%";
    },

    // WCAG 1.4.12, by the values it names.
    spacedText() {
      document.documentElement.style.fontSize = "";
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(
        "* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; } p { margin-block-end: 2em !important; }"
      );
      document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
    },

    // What has the focus: whether one sees it, and sees that it has it. Null at the end of the page.
    focused() {
      const element = document.activeElement;
      if (!element || element === document.body) return null;
      const [box] = touched(element).at(-1).getClientRects();
      if (!box) return { name: named(element), fault: "has no box" };
      const hit = hitAt(box.left + box.width / 2, box.top + Math.min(box.height / 2, 20));
      const isSeen = hit && touched(element).some((each) => each.contains(hit));
      const around = [...touched(element), element.nextElementSibling, element.parentElement].filter(Boolean);
      const isRinged = around.some((each) => {
        const style = getComputedStyle(each);
        return (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== "none";
      });
      const fault = isSeen ? (isRinged ? "" : "no ring") : `hidden by ${hit ? named(hit) : "the edge of the screen"}`;
      return { name: named(element), fault };
    },

    wrongOrder() {
      return [...document.querySelectorAll("[tabindex]")].filter((each) => each.tabIndex > 0).map(named);
    },
  };
})();
