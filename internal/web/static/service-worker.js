// Between the pages and the network: what was seen with reception can be seen
// again without it. It keeps no entry and sends none; that is the outbox's
// work, which lives in the page and so works on plain HTTP too.
// staticFolder and staticFiles stand before this text when it is served.

const pagesCache = "velamen-pages"; // outlasts releases
const filesCache = "velamen-files-" + staticFolder.split("/")[2];

// Longer than a slow answer on a home network, shorter than a wet hand waits.
const patienceMS = 2500;
const freshMS = 6 * 3600 * 1000; // a page this young need not be fetched ahead again
const freshPartMS = 600 * 1000; // nor a part of the round
const keepDays = 30;

self.addEventListener("install", (event) => {
  event.waitUntil(keepFiles().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOldFiles().then(() => self.clients.claim()));
});

self.addEventListener("message", (event) => {
  if (Array.isArray(event.data?.keep)) event.waitUntil(fetchAhead(event.data.keep));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== self.location.origin) return;
  if (request.method === "GET" && url.pathname.startsWith("/static/")) {
    event.respondWith(file(request, url));
  } else if (request.mode === "navigate" && request.method === "GET") {
    event.respondWith(page(event, url));
  } else if (request.mode === "navigate") {
    // Whoever signs out leaves no pages behind on the device.
    if (url.pathname === "/sign-out") event.waitUntil(caches.delete(pagesCache));
    event.respondWith(fetch(request).catch(() => told("Nothing was sent",
      "There is no reception. Go back: what you typed is still there, and can be sent again.")));
  }
});

async function keepFiles() {
  const cache = await caches.open(filesCache);
  await cache.addAll(staticFiles);
}

async function dropOldFiles() {
  for (const name of await caches.keys()) {
    if (name.startsWith("velamen-files-") && name !== filesCache) await caches.delete(name);
  }
}

// file answers from the cache: a static file never changes under its name. A
// page kept by an older release gets the files of this one.
async function file(request, url) {
  const cache = await caches.open(filesCache);
  const kept = await cache.match(request);
  if (kept) return kept;
  try {
    return await fetch(request);
  } catch (problem) {
    const name = url.pathname.split("/").slice(3).join("/");
    const current = await cache.match(staticFolder + name);
    if (current) return current;
    throw problem;
  }
}

// page asks the network, but not for long; then what was kept is shown, and
// says so.
async function page(event, url) {
  const key = keyOf(url);
  const fresh = fetch(event.request).then(async (answer) => {
    if (key) await keep(key, answer);
    return answer;
  });
  event.waitUntil(fresh.catch(() => {})); // a late answer is still kept
  const late = new Promise((resolve) => setTimeout(resolve, patienceMS, null));
  const answer = await Promise.race([fresh.catch(() => null), late]);
  if (answer && ![502, 503, 504].includes(answer.status)) return answer;
  const kept = key && await (await caches.open(pagesCache)).match(key);
  if (kept) return marked(kept, url);
  return answer ?? fresh.catch(() => told("Not kept for times without reception",
    "This page was not opened on this device while there was reception."));
}

// keyOf returns the name a page is kept under, or nothing. What was just done
// is said once and not part of the page. Of the pages with a query only the
// round of one space is kept.
function keyOf(url) {
  const query = new URLSearchParams(url.search);
  query.delete("done");
  if (isPart(url) && query.size === 1) return `/?${query}`;
  return query.size > 0 || url.pathname.startsWith("/sign-") ? null : url.pathname;
}

function isPart(url) {
  return url.pathname === "/" && url.searchParams.has("space");
}

async function keep(key, answer) {
  const html = answer.headers.get("content-type")?.startsWith("text/html");
  if (answer.status !== 200 || answer.redirected || answer.type !== "basic" || !html) return;
  const copy = answer.clone();
  await (await caches.open(pagesCache)).put(key, copy);
}

// fetchAhead keeps pages that the round leads to, one after the other, and
// forgets those that nobody has opened for long.
async function fetchAhead(paths) {
  const cache = await caches.open(pagesCache);
  for (const request of await cache.keys()) {
    if (ageMS(await cache.match(request)) > keepDays * 86_400_000) await cache.delete(request);
  }
  for (const path of paths) {
    const url = new URL(path, self.location.origin);
    if (url.origin !== self.location.origin || !keyOf(url)) continue;
    const kept = await cache.match(keyOf(url));
    if (kept && ageMS(kept) < (isPart(url) ? freshPartMS : freshMS) && path !== "/") continue;
    try {
      await keep(keyOf(url), await fetch(url, { headers: { Accept: "text/html" } }));
    } catch {
      return; // no reception: the next round will try again
    }
  }
}

function ageMS(answer) {
  return Date.now() - new Date(answer?.headers.get("date") ?? 0).getTime();
}

// marked puts above a kept page that, and from when, it is a kept one.
async function marked(kept, url) {
  const made = new Date(kept.headers.get("date") ?? Date.now());
  const today = made.toDateString() === new Date().toDateString();
  const time = new Intl.DateTimeFormat("en-GB", today
    ? { hour: "2-digit", minute: "2-digit" }
    : { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" }).format(made);
  const what = url.pathname === "/" ? "the round" : "the page";
  const notice = `<p class="warning kept" role="status" data-kept="${made.toISOString()}">No reception: showing ${what} of ${time}.</p>`;
  const text = (await kept.text()).replace(/<main\b[^>]*>/, (tag) => tag + notice);
  const headers = new Headers(kept.headers);
  headers.delete("content-length");
  return new Response(text, { headers });
}

// told is a page of this worker's own.
function told(title, text) {
  const html = `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><title>${title} · Velamen</title><link rel="stylesheet" href="${staticFolder}app.css">
<main><h1>${title}</h1><p>${text}</p><p><a class="button" href="/">To the round</a></p></main></html>`;
  return new Response(html, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
