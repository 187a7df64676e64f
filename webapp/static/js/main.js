// Starts every element that names a module. Pages work without any of it.
import { hear, watch } from "./offline/drafts.js";
import "./offline/touch.js";

const modules = {
  back: () => import("./modules/back.js"),
  "cut-line": () => import("./modules/cut-line.js"),
  "read-first": () => import("./modules/read-first.js"),
  install: () => import("./modules/install.js"),
  recheck: () => import("./modules/recheck.js"),
  kept: () => import("./modules/kept.js"),
  marks: () => import("./modules/marks.js"),
  reset: () => import("./modules/reset.js"),
  stored: () => import("./modules/stored.js"),
  strip: () => import("./modules/strip.js"),
  tally: () => import("./modules/tally.js"),
  onward: () => import("./modules/onward.js"),
  moment: () => import("./modules/moment.js"),
  "plan-progress": () => import("./modules/plan-progress.js"),
  stepper: () => import("./modules/stepper.js"),
  verdict: () => import("./modules/verdict.js"),
  measured: () => import("./modules/measured.js"),
  sun: () => import("./modules/sun.js"),
};

watch();

import("./offline/start.js").then(({ start }) => start(), hear);

for (const element of document.querySelectorAll("[data-module]")) {
  const load = modules[element.dataset.module];
  if (load) load().then(({ default: Module }) => new Module(element));
}

import("./far.js").then(({ start }) => start());
