// Comfort only: without this script the forms of an inspection are stored by their buttons.
// With it each answer is stored as it is given; while the network is away it is kept on the
// tablet, sent later, and the inspection goes on. This file: what waits is sent from any page,
// and its state is said; keeping-form.js: the forms.
"use strict";
import { changes, halves, isLasting, takeJotted } from "./keeping-changes.js";
import { addressOf, flush, isThere } from "./keeping-send.js";

const { who = "", name = "", lock, kept } = document.body.dataset;
/** Which script takes a form, by its data-keep. */
const kinds = { answers: "answers", finding: "finding", change: "finding", sign: "sign" };
const form = [...document.forms].find((one) => one.dataset.keep);
/** What the forms know of the page, and it of them. */
const page = { who, name, kept, form, path: form?.getAttribute("action"), inspection: location.pathname.match(/^\/inspections\/\d+/)?.[0],
	half: false, merged: false, words: "", sendNow, show, mine: async () => (await changes()).filter((one) => one.who === who) };

// --- the state, at its place in the form -------------------------------------------------------

const place = document.querySelector("[data-keeping]");
let stop = ""; // why the last sending ended
// What a form was answered with has no address to ask for again, and what it says was not taken.
const isAnswer = document.getElementById("errors");
let isUntaken = Boolean(isAnswer);

function stateOf(mine) {
	const bad = mine.find((one) => one.state !== "waiting" && one.path.startsWith(`${page.inspection}/`));
	if (bad) return ["refused", `Could not be saved: ${bad.detail}`];
	if (page.words) return ["kept", page.words];
	if (mine.length && ["", "done"].includes(stop)) return ["saving", "Saving"];
	if ((mine.length || page.half) && !isLasting()) return ["lost", "Not kept on this tablet: stay on this page until it is saved"];
	if (mine.length && stop === "signed out") return ["kept", "Kept on this tablet, will send when you have signed in again"];
	if (mine.length) return ["kept", `Kept on this tablet, will send${stop === "busy" ? ": the server is busy" : ""}`];
	if (page.half) return ["kept", "Kept on this tablet until you save it"];
	if (isUntaken) return ["refused", "Not saved yet: what is wrong stands above"];
	if (!isLasting()) return ["saved", "Saved. Not kept on this tablet while the network is away"];
	return ["saved", page.merged ? "Saved, together with what another tablet saved" : "Saved"];
}
async function show() {
	dispatchEvent(new Event("keeping")); // for the list of what is kept
	if (!place || !who) return;
	const [state, words] = stateOf(await page.mine()), [seen, told, look] = place.children;
	place.hidden = false;
	place.dataset.state = state;
	const isOut = stop === "signed out";
	look.hidden = !isOut && (state !== "refused" || isUntaken);
	look.href = isOut ? location.href : "/kept"; // there the server asks who it is
	look.textContent = isOut ? "Sign in" : "Look at it";
	if (seen.textContent !== words) seen.textContent = words;
	// Told are the states that last, and none twice: not each tap.
	if (state !== "saving" && told.textContent !== words) told.textContent = words;
	// What waits and is not sent from here, another tab has in hand: it is looked at again.
	if (state === "saving" && !sending && !retry) tryAgain();
}

// --- sending, and trying again -----------------------------------------------------------------

const sent = new Set(); // paths of what was stored since the kept pages were
let retry, refresh, pause = 2000, sending = 0;
function refreshPages() {
	if (sent.size) tellWorker({ who, refresh: [...sent] });
	sent.clear();
}
function tryAgain() {
	clearTimeout(retry);
	retry = setTimeout(sendNow, pause);
	pause = Math.min(2 * pause, 30000);
}
/** "done", or why what waits could not be sent. */
async function sendNow() {
	clearTimeout(retry);
	retry = undefined;
	sending++;
	show();
	try {
		stop = await flush(who, (outcome, change) => {
			if (outcome === "sent") sent.add(change.kind === "photo" ? addressOf(change) : change.path);
			isUntaken &&= outcome !== "sent" || change.path !== page.path;
			page.heard?.(outcome, change);
		});
	} catch (error) {
		console.error(error);
		stop = "busy";
	}
	sending--;
	if (stop === "done") page.words = "";
	clearTimeout(refresh);
	refresh = setTimeout(refreshPages, 2000);
	if (sent.size && place && (!form || form.dataset.keep === "sign")) location.reload(); // it tells of what was sent
	await show();
	if (stop === "away" || stop === "busy") tryAgain();
	else {
		pause = 2000;
		if (kept) comeBack();
	}
	return stop;
}
/** A kept page gives way to the server's once that answers; not while something is written in it,
 * and not again and again where the network is only slow. */
async function comeBack() {
	if (form && form.dataset.keep !== "answers") return;
	const before = Number(sessionStorage.getItem("came-back") ?? 0);
	if (Date.now() - before < 30000 || !await isThere(who)) tryAgain();
	else {
		sessionStorage.setItem("came-back", Date.now());
		location.reload();
	}
}

// --- the pages that are kept ---------------------------------------------------------------------

async function tellWorker(message) {
	const registration = await navigator.serviceWorker?.getRegistration().catch(() => null);
	registration?.active?.postMessage(message);
}
/** Whose work is on this tablet: who has nothing here that was not sent has no pages here either. */
async function dropPages(owners) {
	if (!globalThis.caches) return;
	for (const one of await caches.keys()) {
		const owner = one.match(/^pages:(\d+)$/)?.[1];
		if (owner && owner !== who && !owners.includes(owner)) await caches.delete(one);
	}
}
async function keepPages() {
	localStorage.setItem("keeps", "yes"); // asked for by pegwarden.js
	await navigator.serviceWorker?.register("/static/keeping-worker.js", { scope: "/" });
	await navigator.serviceWorker?.ready;
	await tellWorker({ who, lock: Number(lock ?? 0), keep: page.inspection });
}
/** Left alone for too long, the tablet asks who it is: the server does, or the worker shows nothing. */
let touchedAt = Date.now();
const leftFor = () => Date.now() - touchedAt;
function askWho() {
	document.body.inert = true;
	location.reload();
}
function touched() {
	if (lock && place && leftFor() > lock * 1000) askWho();
	else if (leftFor() > 5000) {
		touchedAt = Date.now();
		tellWorker({ touched: who });
	}
}
/** Nobody passing by reads what was left standing. */
function watch() {
	const left = lock * 1000 - leftFor();
	if (left < 0) askWho();
	else setTimeout(watch, left + 1000);
}

// --- others' work, and beginning ---------------------------------------------------------------------

function say(where, words) {
	const note = document.createElement("p");
	note.className = "notice";
	note.textContent = words;
	where.append(note);
}
function tellOthers(work) {
	const where = document.querySelector("[data-waiting]");
	for (const other of where ? new Set(work.filter((one) => one.who !== who).map((one) => one.name)) : [])
		say(where, `Work of ${other} that was not sent waits on this tablet. It is sent when ${other} signs in here again.`);
}
async function begin() {
	await takeJotted();
	const work = [...await changes(), ...await halves()];
	tellOthers(work);
	if (kept) {
		const note = document.createElement("div");
		document.querySelector("h1").after(note);
		say(note, `The network is away: this page is the one that this tablet kept on ${new Date(kept).toLocaleString("sv").slice(0, 16)}. What you answer is kept too. Signing needs the network.`);
	} else {
		await dropPages(work.map((one) => one.who));
		if (who && page.inspection && place) keepPages().catch(() => {}); // without a worker only what is typed is kept, not the pages
		// An overview without it, or what happens next, is of an inspection that is signed or abandoned: nothing of it goes on.
		else tellWorker({ who, lock: Number(lock ?? 0), forget: !place && /^\/inspections\/\d+(\/next)?$/.test(location.pathname) ? page.inspection : undefined });
	}
	if (!who) return;
	if (form) await (await import(`/static/keeping-${kinds[form.dataset.keep]}.js`)).begin(page);
	addEventListener("online", sendNow);
	addEventListener("pagehide", refreshPages);
	addEventListener("beforeunload", (event) => { if (place?.dataset.state === "lost") event.preventDefault(); });
	document.addEventListener("visibilitychange", sendNow);
	for (const kind of ["pointerdown", "keydown"]) addEventListener(kind, touched, { passive: true });
	if (lock && !isAnswer) watch();
	await sendNow();
}
begin().catch((error) => console.error(error));
