// The worker in which the Go program runs. wasm_exec.js, which comes with Go, and
// unpack.js stand before this in the same file. The first message says where things are;
// from then on Go hears the messages itself.
"use strict";

self.east = (unix) => -60 * new Date(unix * 1000).getTimezoneOffset(); // of UTC, in seconds

onmessage = async ({ data }) => {
	onmessage = null;
	try {
		self.settings = data;
		const go = new Go();
		const program = await fetch(data.program);
		if (!program.ok) throw new Error(`the laptop answers ${program.status} for it`);
		const unpacked = program.headers.get("Content-Type") === "application/wasm"; // by the service worker
		const { instance } = await (unpacked ? WebAssembly.instantiateStreaming(program, go.importObject) : WebAssembly.instantiate(unpack(new Uint8Array(await program.arrayBuffer())), go.importObject));
		await go.run(instance);
		postMessage({ broken: true, fault: "The program has ended by a fault of its own. What you typed still stands here and is kept." });
	} catch (e) {
		postMessage({ broken: true, fault: "The program does not start: " + e });
	}
};
