// Pairs this phone: doc.go of server/pair says with what. The secret comes in the
// fragment, which no browser sends, or is typed.
"use strict";

const say = (text) => { document.getElementById("say").textContent = text; };
const form = document.getElementById("ask");
const hex = (bytes) => Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
const bytes = (text) => Uint8Array.from(text.match(/../g), (two) => parseInt(two, 16));
const ascii = new TextEncoder();

async function mac(secret, ...parts) {
	const key = await crypto.subtle.importKey("raw", ascii.encode(secret), { name: "HMAC", hash: "SHA-256" }, false, ["sign"]);
	return new Uint8Array(await crypto.subtle.sign("HMAC", key, await new Blob(parts).arrayBuffer()));
}

async function post(path, body) {
	const answer = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
	const said = await answer.json();
	if (!answer.ok) throw new Error(said.error);
	return { status: answer.status, ...said };
}

async function pair(secret, name, person) {
	form.hidden = true;
	const nonce = crypto.getRandomValues(new Uint8Array(16));
	const knock = await post("/pair/knock", { name, nonce: hex(nonce), proof: hex(await mac(secret, ascii.encode("ampwright knock\n"), nonce)) });
	const code = await mac(secret, ascii.encode("ampwright code\n"), nonce, bytes(knock.nonce));
	const number = new DataView(code.buffer).getUint32(0) % 1_000_000;
	document.getElementById("digits").textContent = String(number).padStart(6, "0");
	say("Compare these six digits with those on the laptop, and answer there.");
	for (;;) {
		await new Promise((done) => setTimeout(done, 700));
		const answer = await post("/pair/wait", { id: knock.id });
		if (answer.status === 200) {
			return location.replace("/phone/this#" + new URLSearchParams({ invite: answer.invitation, name, person: person || answer.person }));
		}
	}
}

function start(secret, name, person) {
	pair(secret, name, person).catch((e) => {
		document.getElementById("digits").textContent = "";
		say("Not paired: " + e.message + ".");
		form.elements.code.required = true; // the one of the picture may be used up
		document.getElementById("typed").hidden = form.hidden = false;
	});
}

const secret = location.hash.slice(1);
const pictured = /^[A-Z2-7]{26}$/.test(secret);
history.replaceState(null, "", location.pathname); // not in the history

form.addEventListener("submit", (e) => {
	e.preventDefault();
	const { code, name, person } = form.elements;
	const typed = code.value.toUpperCase().replace(/[^A-Z2-7]/g, "");
	start(typed || secret, name.value.trim(), person.value.trim());
});

if (!globalThis.crypto?.subtle) say("This page needs https: open the address that the laptop shows.");
else {
	document.getElementById("typed").hidden = pictured;
	form.elements.code.required = !pictured;
	form.hidden = false;
}
