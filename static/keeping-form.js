// A form of an inspection that is kept: what its kinds have in common. keeping-answers.js: answers are
// stored as they are given; keeping-finding.js: a finding by its button, kept half written until
// then; keeping-sign.js: the signature.
"use strict";
import { isLasting } from "./keeping-changes.js";
import { addressOf, readPage, remember, storedValues, valuesOf, wordsOf } from "./keeping-send.js";

const PATIENCE = 4000; // ms that a button waits for the network

export let page, form, path, first; // first: the values as the server gave them
export let opening; // of the page, as the server sealed it
export let filling = false; // what is filled in is no change
let leaving = false, busy = false;
let line = Promise.resolve();
/** One after the other, in the order in which it was done. */
export const inLine = (work) => (line = line.then(work).catch((error) => console.error(error)));
export const hasNextPage = () => isLasting() && navigator.serviceWorker?.controller;
export const partPath = () => path.split("?")[0].replace(/\/findings$/, "");
export const sentSoon = () => Promise.race([page.sendNow(), new Promise((done) => setTimeout(done, PATIENCE, "away"))]);
/** What this person did in this form and is not in the record, whatever became of it. */
export const ownHere = async () => (await page.mine()).filter((one) => one.path === path);
export const isBad = (one) => one.state !== "waiting";

/** As if it were typed, so that other scripts of the page follow; what is filled in is no change. */
export function fill(values) {
	filling = true;
	for (const [name, value] of Object.entries(values))
		for (const input of form.querySelectorAll(`[name="${CSS.escape(name)}"]`)) {
			if (["file", "password"].includes(input.type)) continue;
			if (["radio", "checkbox"].includes(input.type)) input.checked = input.value === value;
			else input.value = value;
			for (const kind of ["input", "change"]) input.dispatchEvent(new Event(kind, { bubbles: true }));
		}
	filling = false;
}
function wordsFor(fields) {
	const shown = Object.entries(fields).filter(([name, value]) => value && form.querySelector(`[name="${CSS.escape(name)}"]:not([type=hidden])`));
	const defect = form.querySelector("strong")?.textContent;
	return [...(defect ? [["What was found?", defect]] : []), ...shown.map(([name, value]) => [...wordsOf(form, name, value), name])];
}
export const title = () => document.querySelector("h1").textContent.trim();
export const made = (kind, fields, base, more = {}) => ({ who: page.who, name: page.name, path, kind, title: title(), fields, base, words: wordsFor(fields),
	...(page.kept ? {} : { opening }), ...more });
export function note(before, words, href) {
	const told = document.createElement("p");
	told.className = "notice";
	told.textContent = words;
	if (href) told.append(" ", Object.assign(document.createElement("a"), { href, className: "button quiet", textContent: "Go on with it" }));
	before.before(told);
}

/** What was tapped and typed before this script was there. */
export const early = () => Object.fromEntries(Object.entries(valuesOf(form)).filter(([name, value]) => value !== (first[name] ?? "")));

/** From that page on, in the order of work. */
export async function wayOfServer(from) {
	const answer = await fetch(from, { headers: { accept: "application/json" }, signal: AbortSignal.timeout(PATIENCE) });
	return (await answer.json()).inspection.next;
}

/** As without scripts: the browser sends the form. */
export function leave(button) {
	leaving = true;
	form.requestSubmit(button);
}

/** Takes the form of the page in hand: see keeping.js for what `given` holds. `save` is what its button does. */
export async function beginForm(given, save) {
	({ form, path } = page = given);
	first = valuesOf(form, true);
	opening = form.elements.opening?.value;
	if (page.kept && opening) form.elements.opening.value = ""; // no time worked is counted from when it was kept
	const comesBack = document.getElementById("errors") && form.dataset.keep === "answers";
	if (comesBack) first = await storedValues(path, page.who);
	else if (!page.kept && !("any" in form.dataset)) remember(addressOf({ kind: form.dataset.keep, path, fields: first }), readPage(document, path));
	// Before other listeners: a form that is kept is sent here and not by the browser.
	form.addEventListener("submit", (event) => {
		if (leaving) return;
		event.preventDefault();
		event.stopPropagation();
		if (busy) return;
		busy = true;
		line.then(() => save(event.submitter)).catch((error) => console.error(error)).finally(() => { busy = false; });
	});
	addEventListener("pageshow", () => { leaving = false; });
}
