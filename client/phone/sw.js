// The service worker: it keeps the program's files, so that it opens without the
// laptop. It knows no data and answers no page but the empty one into which the
// program is loaded. Before this stand three constants: version, a hash of all
// that follows; shell, the address of the empty page; files, addresses that change
// with their bytes; and unpack.js.
"use strict";

const cacheName = "ampwright " + version;

addEventListener("install", (e) => {
	e.waitUntil((async () => {
		const cache = await caches.open(cacheName);
		await cache.addAll([new Request(shell, { cache: "reload" }), ...files]);
		for (const name of files.filter((name) => name.endsWith(".packed"))) { // once, and not at each start
			const packed = await cache.match(name);
			await cache.put(name, new Response(unpack(new Uint8Array(await packed.arrayBuffer())), { headers: { "Content-Type": "application/wasm" } }));
		}
	})());
	// No skipWaiting: the page in use goes on with the program it began with.
});

addEventListener("message", (e) => {
	if (e.data === "take over") skipWaiting();
});

addEventListener("activate", (e) => {
	e.waitUntil((async () => {
		for (const name of await caches.keys()) if (name !== cacheName && !name.endsWith("-second")) await caches.delete(name);
		await clients.claim();
	})());
});

addEventListener("fetch", (e) => {
	const url = new URL(e.request.url);
	if (e.request.method !== "GET" || url.origin !== location.origin) return;
	const name = e.request.mode === "navigate" ? shell : files.includes(url.pathname) ? url.pathname : null;
	if (name) e.respondWith(caches.match(name, { cacheName }).then((r) => r ?? fetch(e.request)));
});
