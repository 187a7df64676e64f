// Takes the worker and all copies off this device. What waits to be sent is in IndexedDB and stays.
export default class Reset {
  constructor(element) {
    this.#clear().then(() => {
      element.querySelector('[data-part="before"]').hidden = true;
      element.querySelector('[data-part="after"]').hidden = false;
    });
  }

  async #clear() {
    for (const each of (await navigator.serviceWorker?.getRegistrations()) ?? []) await each.unregister();
    if (self.caches) await Promise.all((await caches.keys()).map((name) => caches.delete(name)));
  }
}
