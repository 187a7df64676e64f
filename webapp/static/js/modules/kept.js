// Lists the jobs that open without a signal: pages kept on this device, and jobs begun on it.
import { copiesIn } from "../offline/copies.js";
import { here } from "../offline/keep.js";
import * as outbox from "../offline/outbox.js";
import { spoken } from "../offline/page.js";
import { clock } from "../offline/words.js";

export default class Kept {
  #element;

  constructor(element) {
    this.#element = element;
    this.#show();
  }

  async #show() {
    const rows = [...(await this.#begun()), ...(await this.#kept())];
    this.#part("list").replaceChildren(...rows.map((each) => this.#row(each)));
    this.#part("none").hidden = rows.length > 0;
  }

  async #begun() {
    const begun = (await outbox.all()).filter(({ body }) => body.kind === "start");
    return begun.map(({ body, detail, what }) => ({ address: `/jobs/${body.job}/places`, title: detail || what, at: body.at }));
  }

  async #kept() {
    const cache = self.caches && (await copiesIn(spoken()));
    const rows = await Promise.all(
      Object.entries(here()).map(async ([job, { title, at }]) => ((await cache?.match(`/jobs/${job}/battery`)) ? { address: `/jobs/${job}`, title, at } : null)),
    );
    return rows.filter(Boolean).sort((one, other) => other.at - one.at);
  }

  #row({ address, title, at }) {
    const row = this.#element.querySelector("template").content.firstElementChild.cloneNode(true);
    row.querySelector("a").href = address;
    row.querySelector(".ledger__title").textContent = title;
    row.querySelector(".ledger__fact").textContent = clock(at);
    return row;
  }

  #part(name) {
    return this.#element.querySelector(`[data-part="${name}"]`);
  }
}
