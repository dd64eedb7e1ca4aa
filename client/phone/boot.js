// The page's part of the program on the phone. It hands taps and forms to the Go
// program in a worker and swaps in the pages that come back. It knows no rule of
// the domain and makes no HTML of its own.
"use strict";

(() => {
	const at = document.currentScript.dataset; // where the worker, the program, sw.js, look.css and icon.svg are; what is said of files that are no photos
	const base = "/phone/";
	const said = document.getElementById("said"); // read out by a screen reader
	const notice = document.getElementById("notice"); // what went wrong
	const offer = document.getElementById("offer"); // of a new version
	const fresh = document.createElement("div"); // something new came, and somebody types
	fresh.id = "fresh";
	fresh.className = "apart";
	fresh.setAttribute("role", "status");
	fresh.hidden = true;
	offer.after(fresh);
	const kept = new Set([said, notice, offer, fresh]);

	// The one place where text becomes HTML or the address of a script. The HTML is
	// what Go's html/template made, which escapes all that people typed.
	const make = {
		createHTML: (html) => html,
		createScriptURL: (address) => {
			if (address !== at.worker && address !== at.sw) throw new TypeError(address + " is no script of this program");
			return address;
		},
	};
	const trusted = globalThis.trustedTypes?.createPolicy("ampwright", make) ?? make;

	// Asking.

	const worker = new Worker(trusted.createScriptURL(at.worker));
	const waiting = new Map();
	let last = 0, broken = null, ready = false, begun;
	const first = new Promise((done) => { begun = done; }); // the first page is here, or none comes

	function send(message) {
		if (broken) return Promise.resolve(broken);
		return new Promise((resolve) => {
			waiting.set(++last, resolve);
			worker.postMessage({ id: last, ...message });
		});
	}

	const ask = (method, address, form, photos, files) => send({ method, at: address, form, photos, files });

	function stumble(answer) {
		broken = answer;
		worker.terminate();
		begun();
		for (const resolve of waiting.values()) resolve(answer);
		waiting.clear();
		tell(answer);
	}

	worker.onerror = (e) => stumble({ broken: true, fault: "The program does not start: " + (e.message ?? "its worker does not load") });
	worker.onmessage = ({ data }) => {
		if (data.broken) return stumble(data);
		if (data.ready) return begin().finally(begun);
		if (data.news) return hear(data.entries);
		if (data.arrived) return waitingFor(data.arrived).forEach(fetchPhoto);
		waiting.get(data.id)?.(data);
		waiting.delete(data.id);
	};
	// A phone that was just paired comes with an invitation in the fragment of the
	// address, which no server sees, and with what it is called. It is taken out of the
	// address before anything else.
	const given = location.hash.startsWith("#invite=") ? Object.fromEntries(new URLSearchParams(location.hash.slice(1))) : null;
	if (given) history.replaceState(history.state, "", location.pathname + location.search);

	worker.postMessage({ ...given, program: new URL(at.program, location.href).href, css: at.css, icon: at.icon, version: at.version, zone: Intl.DateTimeFormat().resolvedOptions().timeZone });

	async function begin() {
		ready = true; // what was told before is told now: nobody listened
		sight();
		if (lost !== undefined) unkept(lost);
		if (!given) return go(location.pathname + location.search + location.hash, "load");
		const answer = await ask("POST", base + "this", new URLSearchParams(given).toString());
		if (answer.fault) return tell(answer);
		show(answer, "load");
	}

	// tell says why nothing came of a tap. The page that was there stays.
	function tell(answer) {
		notice.replaceChildren(Object.assign(document.createElement("p"), { textContent: answer.fault }));
		if (answer.broken) {
			const again = document.createElement("button");
			again.className = "btn";
			again.textContent = "load the page again";
			again.onclick = () => location.reload();
			notice.append(again);
		}
		notice.hidden = false;
		notice.focus();
	}

	// Showing. how is "load", "push", "back", or "again" for the same page anew.

	history.scrollRestoration = "manual";
	const places = JSON.parse(sessionStorage.getItem("places") ?? "{}"); // by entry of the history: how far it was scrolled
	let here = history.state?.id, shown = null, busy = false, stale = false, dirty = false, turn = 0, shows = 0, asking = false, more = false;

	function remember(address, how) {
		if (how === "push" && address !== location.pathname + location.search + location.hash) {
			here = crypto.randomUUID();
			history.pushState({ id: here }, "", address);
			return;
		}
		here = history.state?.id ?? crypto.randomUUID();
		history.replaceState({ id: here }, "", how === "back" || how === "again" ? undefined : address);
	}

	function show(answer, how) {
		const page = new DOMParser().parseFromString(trusted.createHTML(answer.body), "text/html");
		const place = how === "push" ? undefined : places[history.state?.id];
		const as = how === "again" ? pose() : null;
		takeDown(page);
		shows++;
		remember(answer.at, how);
		document.title = page.title;
		for (const name of ["data-theme", "data-paper", "lang"]) {
			document.documentElement.setAttribute(name, page.documentElement.getAttribute(name) ?? "");
		}
		document.body.className = page.body.className;
		for (const node of [...document.body.childNodes]) if (!kept.has(node)) node.remove();
		document.body.append(...page.body.childNodes);
		hang();
		performance.mark("shown");
		notice.hidden = true;
		shown = location.pathname + location.search;
		busy = answer.busy;
		dirty = answer.posted; // it is not had again by its address
		stale = false;
		fresh.hidden = true;
		if (how !== "push") refill();
		if (answer.status === 422) {
			document.querySelectorAll(typing).forEach(keep);
			dirty = true; // its fields hold what was typed
		}
		if (as) return as();
		focus(place);
		said.textContent = document.querySelector("main .done")?.innerText.trim() || document.title;
		offerNew();
	}

	// pose notes what has the focus, what is unfolded and how far the page is
	// scrolled, and returns what makes it so again once the page is swapped.
	function pose() {
		const like = (e) => [e.tagName, e.id, e.getAttribute("name"), e.getAttribute("href"), e.textContent].join("\n");
		const was = document.activeElement !== document.body && like(document.activeElement);
		const open = new Set([...document.querySelectorAll("details[open] > summary")].map(like));
		const [x, y] = [scrollX, scrollY];
		return () => {
			for (const s of document.querySelectorAll("details > summary")) s.parentElement.open = open.has(like(s));
			const target = was && [...document.body.querySelectorAll("a, button, input, textarea, select, summary, h1, [id]")].find((e) => like(e) === was);
			if (target) {
				if (!target.matches("input, textarea, select, a, button, summary")) target.tabIndex = -1;
				target.focus({ preventScroll: true });
			}
			scrollTo(x, y);
			offerNew();
		};
	}

	// focus leads to what is wrong, else to the part that the address names, else to the heading.
	function focus(place) {
		const named = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
		const wrong = document.querySelector("main .faults, main [aria-invalid=true], main .wrong :is(input, textarea, select)");
		const target = wrong || named || document.querySelector("main h1") || document.querySelector("main");
		if (!target) return;
		if (!target.matches("input, textarea, select, a, button")) target.tabIndex = -1;
		target.focus({ preventScroll: true });
		if (place !== undefined) scrollTo(0, place);
		else if (wrong || named) target.scrollIntoView({ block: wrong ? "center" : "start" });
		else scrollTo(0, 0);
	}

	async function go(address, how) {
		const mine = ++turn;
		const answer = await ask("GET", address);
		if (mine !== turn) return; // another tap was later
		if (answer.fault) return tell(answer);
		if (answer.name && how === "push") return asFile(answer.body, answer.type, answer.name);
		show(answer, how);
	}

	// hear: what the page shows is out of date, by entries that came or only by
	// where they are now. It is asked for again unless somebody types, or has marked
	// something, or it is the answer to a form; then entries are told of.
	function hear(entries) {
		stale = true;
		if (document.visibilityState !== "visible" || shown === null) return;
		if (free()) return again();
		if (entries) fresh.hidden = false;
	}

	const free = () => !dirty && !document.activeElement?.matches("input, textarea, select") && getSelection().isCollapsed;

	// One asks at a time: of two answers the later one, which has more in it, would be
	// dropped when the first is shown.
	async function again() {
		more = true;
		if (asking) return;
		asking = true;
		try {
			while (more) {
				more = false;
				const [mine, was] = [turn, shows];
				const answer = await ask("GET", shown + location.hash);
				if (mine !== turn || was !== shows || answer.fault || answer.status >= 400) continue; // another tap was later
				if (!document.body) return; // the page is being left
				if (free()) show(answer, "again");
				else fresh.hidden = false; // somebody began to type
			}
		} finally {
			asking = false;
		}
	}

	const look = document.createElement("button");
	look.className = "btn";
	look.textContent = "look";
	look.onclick = () => go(shown + location.hash, "back"); // what is typed comes back
	fresh.append(Object.assign(document.createElement("p"), { textContent: "Something new came from another device or tab." }), look);

	// A socket may have died while nobody looked, and no event tells: another is made.
	const wake = () => worker.postMessage({ wake: true });
	const sight = () => worker.postMessage({ seen: document.visibilityState === "visible" });
	addEventListener("online", wake);
	addEventListener("pageshow", (e) => { if (e.persisted) wake(); });
	addEventListener("visibilitychange", () => {
		sight();
		if (document.visibilityState !== "visible") return;
		wake();
		if (stale) hear(true);
		registration?.update().catch(() => {}); // no network, no new version
	});
	addEventListener("scroll", () => { places[here] = scrollY; }, { passive: true });
	addEventListener("pagehide", () => sessionStorage.setItem("places", JSON.stringify(places)));
	addEventListener("popstate", () => {
		if (location.pathname + location.search === shown) { // a part of the same page
			here = history.state?.id ?? here;
			if (places[here] !== undefined) scrollTo(0, places[here]);
			return;
		}
		go(location.pathname + location.search + location.hash, "back");
	});

	// Taps.

	const ours = (url) => url.origin === location.origin && (url.pathname + "/").startsWith(base);

	addEventListener("click", (e) => {
		const link = e.target.closest?.("a[href]");
		if (!link || e.defaultPrevented || e.button !== 0 || e.ctrlKey || e.metaKey || e.shiftKey || e.altKey || link.target) return;
		const url = new URL(link.getAttribute("href"), location.href);
		if (!ours(url)) return;
		const address = url.pathname + url.search;
		if (url.hash && address === location.pathname + location.search) return; // the browser goes there by itself
		e.preventDefault();
		if (link.hasAttribute("download")) return save(address, link.getAttribute("download"));
		go(address + url.hash, "push");
	});

	async function save(address, name) {
		const photo = photoAt(address);
		const answer = await (photo ? send({ photo }) : ask("GET", address));
		if (answer.fault) return tell(answer);
		if (answer.status >= 400) return show(answer, "push");
		photo ? asFile(answer.bytes, "image/jpeg", name) : asFile(answer.body, answer.type, name || answer.name);
	}

	function asFile(body, type, name) {
		const link = document.createElement("a");
		link.href = URL.createObjectURL(new Blob([body], { type }));
		link.download = name;
		link.click();
		setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
	}

	// Forms. Controls may be named "action" or "method": attributes only.

	const posts = (form) => form.getAttribute("method")?.toLowerCase() === "post";

	addEventListener("submit", async (e) => {
		const form = e.target;
		const url = new URL(form.getAttribute("action") ?? "", location.href);
		if (!ours(url)) return;
		e.preventDefault();
		if (form.dataset.sent) return; // a second tap on the same button
		form.dataset.sent = "yes";
		try {
			const fields = new URLSearchParams();
			const sent = [...new FormData(form, e.submitter)];
			const pictured = new Set([...form.elements].filter(takesPhoto).map((c) => c.name));
			const photos = await photosOf(form);
			if (!photos) return; // what is wrong with one is said beside it
			const whole = form.getAttribute("enctype") === "multipart/form-data", files = []; // sheets and logs are not always UTF-8
			for (const [name, value] of sent) {
				if (typeof value === "string") fields.append(name, value);
				else if (pictured.has(name)) continue;
				else if (!whole) fields.append(name, await value.text());
				else if (value.name) files.push({ field: name, name: value.name, bytes: new Uint8Array(await value.arrayBuffer()) });
			}
			if ("persist" in form.dataset) fields.set("persist", (await navigator.storage?.persist?.()) ? "yes" : "no");
			if (!posts(form)) return await go(url.pathname + "?" + fields + url.hash, "push");
			turn++;
			const answer = await ask("POST", url.pathname + url.search, fields.toString(), photos, files);
			if (answer.fault) return tell(answer);
			if (answer.status < 400) sessionStorage.removeItem(keyOf(form));
			show(answer, "push");
		} finally {
			delete form.dataset.sent;
		}
	});

	// What is typed is kept until it is sent, so that it comes back after a reload.

	const typing = "main form, .stepform"; // on a checklist the form is around all of it
	const keyOf = (form) => "typed " + location.pathname + " " + form.id + " " + form.getAttribute("action");
	const controls = (form) => [...form.elements].filter((c) => c.name && c.type !== "file" && !["once", "back"].includes(c.name));
	const ticked = (c) => c.type === "radio" || c.type === "checkbox";

	function keep(form) {
		if (posts(form)) sessionStorage.setItem(keyOf(form), JSON.stringify(controls(form).map((c) => [c.name, c.value, c.checked])));
	}

	function refill() {
		for (const form of document.querySelectorAll(typing)) {
			const typed = posts(form) && JSON.parse(sessionStorage.getItem(keyOf(form)));
			if (!typed) continue;
			for (const c of controls(form)) {
				const was = c.type !== "hidden" && typed.find(([name, value]) => name === c.name && (!ticked(c) || value === c.value));
				if (was) [c.value, c.checked] = [was[1], was[2]];
			}
			dirty = true;
		}
	}

	addEventListener("input", (e) => {
		if (!e.target.form) return;
		dirty = true;
		keep(e.target.form);
	});

	// Photos on a page. Their bytes come from the worker: the page's own addresses for
	// them are asked of no network. Those of the page before are let go of unless this
	// one shows them too.

	const photoAt = (address) => /\/photo\/([0-9a-f]{64})$/.exec(address)?.[1]; // its hash
	const hung = new Map(); // by hash: the address of its bytes
	const seen = new IntersectionObserver((them) => them.filter((t) => t.isIntersecting).forEach((t) => fetchPhoto(t.target)), { rootMargin: "200px" });
	const waitingFor = (hash) => [...document.querySelectorAll("img[data-photo]:not([src])")].filter((img) => img.dataset.photo === hash);

	// takeDown takes the addresses of photos out of a page that is not shown yet.
	function takeDown(page) {
		const stay = new Set();
		for (const img of page.querySelectorAll("img[src]")) {
			const hash = photoAt(img.getAttribute("src"));
			if (!hash) continue;
			img.dataset.photo = hash;
			stay.add(hash);
			if (hung.has(hash)) img.src = hung.get(hash);
			else img.removeAttribute("src");
		}
		seen.disconnect();
		for (const [hash, address] of hung) {
			if (stay.has(hash)) continue;
			URL.revokeObjectURL(address);
			hung.delete(hash);
		}
	}

	// hang has photos fetched once they come into sight; those of a record at once,
	// since it is made to be printed.
	function hang() {
		for (const img of document.querySelectorAll("table.paper img[data-photo]")) img.loading = "eager";
		for (const img of document.querySelectorAll("img[data-photo]:not([src])")) img.loading === "lazy" ? seen.observe(img) : fetchPhoto(img);
	}

	async function fetchPhoto(img) {
		seen.unobserve(img);
		const hash = img.dataset.photo;
		const answer = await send({ photo: hash });
		if (!img.isConnected || img.hasAttribute("src")) return;
		let words = img.nextElementSibling?.matches(".absent") ? img.nextElementSibling : null;
		if (answer.fault) { // the photo is not here: it is waited for
			if (!words) img.after(words = Object.assign(document.createElement("small"), { className: "absent" }));
			words.textContent = answer.fault;
			img.hidden = true;
			return;
		}
		if (!hung.has(hash)) hung.set(hash, URL.createObjectURL(new Blob([answer.bytes], { type: "image/jpeg" })));
		words?.remove();
		img.hidden = false;
		img.src = hung.get(hash);
	}

	// Photos of a form. One that is chosen is made upright and small at once, and a
	// JPEG of its pixels alone: the place and the camera stay out of the logbook.

	// mostPixels lets in the 108 million of a phone's camera (12,000 by 9,000, from memory);
	// at 4 bytes each the browser holds half a gigabyte of them for a moment.
	const longest = 1600, quality = 0.85, mostFile = 100e6, mostPixels = 120e6; // pixels, of 1, bytes, pixels
	const takesPhoto = (c) => c.type === "file" && c.accept.startsWith("image/");
	const chosen = new WeakMap(); // by input: what came of its file
	const kinds = ["heic", "heix", "heim", "heis", "hevc", "hevx", "hevm", "hevs", "mif1", "msf1"]; // brands of image/heic and image/heif, by their registrations at IANA

	async function shrink(file) {
		if (file.size > mostFile) return { fault: `${file.name} has ${(file.size / 1e6).toFixed(0)} MB: at most ${mostFile / 1e6} MB are taken` };
		let picture;
		try {
			const [wide, high] = await measure(file); // before any memory is taken for pixels
			if (!(wide * high > 0)) return { fault: await whyNot(file) };
			if (wide * high > mostPixels) return { fault: `${file.name} has ${wide} x ${high} pixels, ${Math.ceil(wide * high / 1e6)} million: at most ${mostPixels / 1e6} million are taken` };
			picture = await createImageBitmap(file, { imageOrientation: "from-image" });
		} catch {
			return { fault: await whyNot(file) };
		}
		try {
			const scale = Math.min(1, longest / Math.max(picture.width, picture.height));
			const canvas = document.createElement("canvas");
			[canvas.width, canvas.height] = [picture.width, picture.height].map((n) => Math.max(1, Math.round(n * scale)));
			const pen = canvas.getContext("2d");
			pen.fillStyle = "white"; // under what can be seen through
			pen.fillRect(0, 0, canvas.width, canvas.height);
			pen.imageSmoothingQuality = "high";
			pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
			picture.close();
			const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));
			return { blob, says: `kept as ${canvas.width} x ${canvas.height} px, ${Math.ceil(blob.size / 1000)} kB` };
		} catch (e) { // no context, or null for a blob: there is no memory left for them
			return { fault: `${file.name} could not be made smaller: the browser has no room in memory for it (${e.message})` };
		}
	}

	// measure reads a picture's width and height from its head, without its pixels: [0, 0]
	// where they do not stand there, or a RangeError where the file ends before.
	async function measure(file) {
		let from = 0, held = new ArrayBuffer(0);
		const read = async (place, n) => {
			if (place < from || place + n > from + held.byteLength) [from, held] = [place, await file.slice(place, place + 65536).arrayBuffer()];
			return new DataView(held, place - from, n);
		};
		const head = await read(0, 12);
		if (head.getUint16(0) === 0xffd8) { // ITU-T T.81, annex B: segments, until that of the frame
			for (let place = 2, steps = 0; steps < 100_000; steps++) {
				const marker = (await read(place, 2)).getUint16(0);
				if (marker < 0xff01 || marker === 0xffff) place++; // a fill byte, or one that decoders pass over
				else if (marker === 0xff01 || marker >= 0xffd0 && marker <= 0xffd8) place += 2; // alone
				else if (marker === 0xffd9 || marker === 0xffda) break; // the end, or the pixels
				else if (marker >= 0xffc0 && marker <= 0xffcf && ![0xffc4, 0xffc8, 0xffcc].includes(marker)) { // SOF
					const frame = await read(place + 5, 4);
					return [frame.getUint16(2), frame.getUint16(0)];
				} else place += 2 + (await read(place + 2, 2)).getUint16(0);
			}
			return [0, 0];
		}
		if (head.getUint32(0) === 0x89504e47 && head.getUint32(4) === 0x0d0a1a0a) { // W3C, "PNG", 5.2 and 11.2.1
			const chunk = await read(12, 12);
			return chunk.getUint32(0) === 0x49484452 ? [chunk.getUint32(4), chunk.getUint32(8)] : [0, 0];
		}
		if (head.getUint32(0) === 0x52494646 && head.getUint32(8) === 0x57454250) { // RFC 9649, 2.4 to 2.7: RIFF, WEBP
			const chunk = await read(12, Math.min(18, file.size - 12)), small = (place) => chunk.getUint16(place, true), many = chunk.getUint32(9, true);
			switch (chunk.getUint32(0)) {
			case 0x56503820: return [small(14) & 0x3fff, small(16) & 0x3fff]; // "VP8 ": RFC 6386, 9.1
			case 0x5650384c: return [(many & 0x3fff) + 1, (many >> 14 & 0x3fff) + 1]; // "VP8L"
			case 0x56503858: return [12, 15].map((place) => (small(place) | chunk.getUint8(place + 2) << 16) + 1); // "VP8X"
			}
		}
		let largest = [0, 0];
		if (head.getUint32(4) === 0x66747970) { // "ftyp": a HEIF, which some browsers show
			const start = await read(0, Math.min(file.size, 65536));
			for (let place = 8; place + 16 <= start.byteLength; place++) {
				if (start.getUint32(place) !== 0x69737065) continue; // "ispe", of the whole and of its tiles: ISO/IEC 23008-12, 6.5.3
				const size = [8, 12].map((n) => start.getUint32(place + n));
				if (size[0] * size[1] > largest[0] * largest[1]) largest = size;
			}
		}
		return largest;
	}

	// whyNot says why a file does not show as a picture here.
	async function whyNot(file) {
		let head = "";
		try {
			head = String.fromCharCode(...new Uint8Array(await file.slice(0, 256).arrayBuffer()));
		} catch (e) {
			return `${file.name} can't be read: ${e.message}`;
		}
		const brands = head.slice(8, head.charCodeAt(2) * 256 + head.charCodeAt(3)).match(/.{4}/gs) ?? [];
		return head.slice(4, 8) === "ftyp" && brands.some((b) => kinds.includes(b)) ? at.heic : at.none;
	}

	addEventListener("change", (e) => {
		if (!takesPhoto(e.target)) return;
		dirty = true;
		choose(e.target);
	});

	// choose makes what is chosen small, shows it under its field or says there what
	// is wrong, and returns what came of it.
	function choose(input) {
		const file = input.files[0];
		const done = file ? shrink(file) : Promise.resolve({});
		chosen.set(input, { file, done });
		sayUnder(input, {}); // of the one before
		done.then((made) => {
			if (chosen.get(input)?.done === done) sayUnder(input, made);
		});
		return done;
	}

	function sayUnder(input, made) {
		const field = input.closest(".one") ?? input.parentElement;
		field.querySelector(".chosen")?.remove();
		field.classList.toggle("wrong", !!made.fault);
		input.removeAttribute("aria-invalid");
		input.dataset.told ??= input.getAttribute("aria-describedby") ?? ""; // the field's own hint
		input.setAttribute("aria-describedby", input.dataset.told);
		if (!made.fault && !made.blob) return;
		const said = Object.assign(document.createElement("div"), { className: "chosen", id: input.id + "-chosen" });
		said.setAttribute("role", "status");
		said.append(Object.assign(document.createElement("p"), { className: made.fault ? "fault" : "hint", textContent: made.fault ?? made.says }));
		if (made.fault) input.setAttribute("aria-invalid", "true");
		else {
			const img = Object.assign(new Image(), { className: "photo", alt: "the photo that is chosen", src: URL.createObjectURL(made.blob) });
			img.onload = () => URL.revokeObjectURL(img.src);
			said.prepend(img);
		}
		input.setAttribute("aria-describedby", `${input.dataset.told} ${said.id}`.trim());
		field.append(said);
	}

	// photosOf returns the photos chosen in a form, as bytes; null if one can't be
	// taken: then the focus is on it.
	async function photosOf(form) {
		const photos = [];
		for (const input of [...form.elements].filter((c) => takesPhoto(c) && c.files.length > 0)) {
			const was = chosen.get(input);
			const made = await (was?.file === input.files[0] ? was.done : choose(input));
			if (made.fault) {
				input.focus();
				return null;
			}
			photos.push({ field: input.name, bytes: new Uint8Array(await made.blob.arrayBuffer()) });
		}
		return photos;
	}

	// A new version of the program is taken over when somebody says so, and is not
	// offered amid a card, a check or a form.

	let registration, taken = false;
	let lost; // the name of the error by which the browser keeps no copy of the program

	function unkept(why) {
		lost = why;
		if (ready) worker.postMessage({ unkept: lost });
	}

	function offerNew() {
		offer.hidden = busy || !registration?.waiting || !navigator.serviceWorker.controller;
	}

	offer.querySelector("button").onclick = () => {
		taken = true;
		registration.waiting.postMessage("take over");
	};

	// The first page comes first: what the service worker loads would slow it down.

	if (navigator.serviceWorker) {
		navigator.serviceWorker.addEventListener("controllerchange", () => { if (taken) location.reload(); });
		first.then(() => navigator.serviceWorker.register(trusted.createScriptURL(at.sw))).then((r) => {
			registration = r;
			offerNew();
			r.addEventListener("updatefound", () => r.installing?.addEventListener("statechange", offerNew));
		}).catch((e) => unkept(e.name)); // a certificate that is not trusted, or no room
	} else unkept("");
})();
