// Pages for times without reception. They need a service worker, which browsers
// allow over HTTPS or on this machine only; elsewhere the page on show still
// works as long as it stays open.

const pagesCache = "velamen-pages"; // as the service worker calls it

// start lets this device keep the round, its parts and the plants it leads to.
export async function start() {
  if (!("serviceWorker" in navigator)) return;
  try {
    await navigator.serviceWorker.register("/service-worker.js", { scope: "/" });
    const { active } = await navigator.serviceWorker.ready;
    const plants = [...document.querySelectorAll('main a[href^="/plant/"]')].map((a) => a.getAttribute("href"));
    // The worker has kept this page already if it brought it here.
    const brought = performance.getEntriesByType("navigation")[0]?.workerStart > 0;
    active.postMessage({ keep: [...(brought ? [] : ["/"]), ...new Set(plants)] });
    // Asks not to be cleared away when the device runs short of room.
    await navigator.storage?.persist?.();
  } catch {
    // Without it everything works that needs reception, and the outbox.
  }
}

// keepCopy keeps a page that was just fetched.
export async function keepCopy(path, answer) {
  if (!("caches" in window)) return;
  try {
    await (await caches.open(pagesCache)).put(path, answer);
  } catch {
    // There is no room: the page on show is not worse for it.
  }
}
