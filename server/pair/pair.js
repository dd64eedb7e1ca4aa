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

async function pair(secret, name) {
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
		if (answer.status === 200) return location.replace("/phone/this#invite=" + answer.invitation);
	}
}

function start(secret, name) {
	if (!globalThis.crypto?.subtle) return say("This page needs https: open the address that the laptop shows.");
	pair(secret, name).catch((e) => {
		document.getElementById("digits").textContent = "";
		say("Not paired: " + e.message + ".");
		form.hidden = false;
	});
}

form.addEventListener("submit", (e) => {
	e.preventDefault();
	start(form.elements.code.value.toUpperCase().replace(/[^A-Z2-7]/g, ""), form.elements.name.value);
});

const secret = location.hash.slice(1);
history.replaceState(null, "", location.pathname); // not in the history
if (/^[A-Z2-7]{26}$/.test(secret)) start(secret, "phone");
else form.hidden = false;
