// Comfort only: every task works without this script.
"use strict";

// A form is sent once, however often the button is pressed.
addEventListener("submit", (event) => {
	if (event.target.dataset.sent) event.preventDefault();
	event.target.dataset.sent = "yes";
});
// Back from the page after: the form may be sent again.
addEventListener("pageshow", () => {
	for (const form of document.forms) delete form.dataset.sent;
});

// What was typed stays on this tablet until the server has answered: for whoever typed it,
// and for nobody else who takes the tablet.
const who = document.body.dataset.who;
const draftOf = (page) => `draft:${who}:${page}`;
for (const form of who ? document.querySelectorAll("form[data-draft]") : []) {
	const key = draftOf(location.pathname + location.search);
	const version = form.querySelector("[name=_version]")?.value ?? "";
	const errors = document.getElementById("errors");
	try {
		const kept = JSON.parse(localStorage.getItem(key) ?? "null");
		if (kept && kept.version === version && !errors) {
			for (const [name, value] of kept.fields) {
				const inputs = form.querySelectorAll(`[name="${CSS.escape(name)}"]`);
				for (const input of inputs) {
					if (input.type === "hidden" || input.type === "password") continue;
					if (input.type === "radio" || input.type === "checkbox") {
						if (input.value === value) input.checked = true;
					} else input.value = value;
				}
			}
			const note = document.createElement("p");
			note.className = "notice";
			note.setAttribute("role", "status");
			note.textContent = "What you typed here before is back: it was kept on this device and not sent yet.";
			form.prepend(note);
		} else if (kept) localStorage.removeItem(key);
	} catch { localStorage.removeItem(key); }
	form.addEventListener("input", () => {
		const fields = [...new FormData(form)].filter(([name, value]) =>
			!name.startsWith("_") && typeof value === "string" && form.elements[name]?.type !== "password");
		localStorage.setItem(key, JSON.stringify({ version, fields }));
	});
	form.addEventListener("submit", () => sessionStorage.setItem("sent", key));
}
// The session had ended: nothing was stored, and what is kept waits until it is sent after all.
const unsent = document.querySelector("[data-unsent]");
if (unsent) sessionStorage.removeItem("sent");
if (unsent?.dataset.unsent)
	unsent.addEventListener("submit", () => sessionStorage.setItem("sent", draftOf(unsent.dataset.unsent)));
// The answer has come: what was kept for the form sent is not needed any more.
const sent = sessionStorage.getItem("sent");
if (sent && !document.getElementById("errors")) {
	localStorage.removeItem(sent);
	sessionStorage.removeItem("sent");
}

// A scanner types wherever the focus is: outside of inputs, into the search box.
addEventListener("keydown", (event) => {
	const find = document.getElementById("scan") ?? document.getElementById("find");
	const free = !document.activeElement?.matches("input, select, textarea");
	if (find && free && event.key.length === 1 && event.key !== " " && !event.ctrlKey && !event.metaKey && !event.altKey) find.focus();
});

// Inspections are kept while the network is away: where there is a part of one, or a tablet
// that has had one and may still have something to send. What says so is written down lazily,
// and may not be there after the battery died; the database is.
async function keeps() {
	try {
		return localStorage.getItem("keeps") ?? navigator.serviceWorker?.controller ?? (await indexedDB.databases()).some(({ name }) => name === "pegwarden");
	} catch { return true; /* not known */ }
}
async function keep() {
	if (document.querySelector("[data-keeping], [data-not-sent]") || await keeps()) await import("/static/keeping.js");
}
keep().catch(() => {}); // the network is away: as without scripts

document.getElementById("errors")?.focus();

// Long work: look again until it is done.
const again = document.querySelector("[data-again]");
if (again) setTimeout(() => location.reload(), Number(again.dataset.again) * 1000);
