// Keeps the screen on while an item of a checklist is open (W3C, "Screen Wake Lock
// API"), and says so where the browser does not. Nothing else depends on it.
"use strict";

(() => {
	let lock = null, looking = false, again = false;

	async function look() {
		again = true;
		if (looking) return;
		looking = true;
		while (again) { // the page may be left while the browser is asked
			again = false;
			const open = document.body.classList.contains("walking") && document.visibilityState === "visible";
			if (!open) {
				await lock?.release();
				lock = null;
			} else if (lock?.released ?? true) { // out of sight the browser took it away
				lock = await navigator.wakeLock?.request("screen").catch(() => null);
			}
		}
		looking = false;
		for (const hint of document.querySelectorAll(".goes-dark")) hint.hidden = !!lock;
	}

	new MutationObserver(look).observe(document.body, { attributes: true, attributeFilter: ["class"], childList: true });
	document.addEventListener("visibilitychange", look);
	look();
})();
