// The forms of an inspection: answers are stored as they are given, a finding by its button
// and kept half written until then.
"use strict";
import { addChange, changes, dropChange, dropHalf, halves, isLasting, putHalf } from "./keeping-changes.js";
import { addressOf, freshen, isThere, knownValues, knownVersion, readPage, remember, storedValues, valuesOf, wordsOf } from "./keeping-send.js";

const SOON = 700; // ms: answers given in quick succession go together
const PATIENCE = 4000; // ms that a button waits for the network

let page, form, path, first, version; // first: the values as the server gave them
let filling = false, leaving = false, busy = false;
let line = Promise.resolve();
/** One after the other, in the order in which it was done. */
const inLine = (work) => (line = line.then(work).catch((error) => console.error(error)));
const hasNextPage = () => isLasting() && navigator.serviceWorker?.controller;
const partPath = () => path.split("?")[0].replace(/\/findings$/, "");
const sentSoon = () => Promise.race([page.sendNow(), new Promise((done) => setTimeout(done, PATIENCE, "away"))]);
/** What this person did in this form and is not in the record, whatever became of it. */
const ownHere = async () => (await page.mine()).filter((one) => one.path === path);
const isBad = (one) => one.state !== "waiting";

/** As if it were typed, so that other scripts of the page follow; what is filled in is no change. */
function fill(values) {
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
const title = () => document.querySelector("h1").textContent.trim();
const change = (kind, fields, base) => addChange({ who: page.who, name: page.name, path, kind, title: title(), fields, base, words: wordsFor(fields),
	...(page.kept ? {} : { opening: form.elements.opening?.value }) });
function note(before, words, href) {
	const told = document.createElement("p");
	told.className = "notice";
	told.textContent = words;
	if (href) told.append(" ", Object.assign(document.createElement("a"), { href, className: "button quiet", textContent: "Go on with it" }));
	before.before(told);
}

/** What was tapped and typed before this script was there. */
const early = () => Object.fromEntries(Object.entries(valuesOf(form)).filter(([name, value]) => value !== (first[name] ?? "")));

// --- answers -----------------------------------------------------------------------------------

async function keepAnswers() {
	const before = Object.assign({}, first, knownValues(path), ...(await ownHere()).map((one) => one.fields)), now = valuesOf(form);
	const names = Object.keys(now).filter((name) => now[name] !== (before[name] ?? ""));
	if (!names.length) return;
	const of = (values) => Object.fromEntries(names.map((name) => [name, values[name] ?? ""]));
	await change("answers", of(now), of(before));
	await page.show();
}
/** What others saved in this form meanwhile is shown, but not over what is on its way. */
async function compare() {
	const theirs = { ...knownValues(path) }, now = valuesOf(form);
	for (const one of await ownHere()) for (const name of Object.keys(one.fields)) delete theirs[name];
	const news = Object.entries(theirs).filter(([name, value]) => value && value !== now[name]);
	if (!news.length) return;
	page.merged = true;
	fill(Object.fromEntries(news));
	await page.show();
}
/** What a tick answered for others shows at those, and the page's other forms speak of what is stored now. */
async function follow(one) {
	const isTick = (name) => form.elements[name]?.type === "checkbox";
	for (const input of document.querySelectorAll("[name=_version]")) if (input.value === version) input.value = knownVersion(path) ?? version;
	version = form.elements._version.value;
	if (!Object.keys(one.fields).some(isTick)) return;
	const stored = Object.fromEntries(Object.entries(await storedValues(path, page.who)).filter(([name]) => !isTick(name)));
	Object.assign(knownValues(path) ?? {}, stored);
	fill(stored);
}
function offerFinding(input) {
	const offer = form.querySelector(`[data-found="${CSS.escape(input.name)}"]`);
	if (offer && input.checked) offer.hidden = input.value !== "finding";
}
async function showKept() {
	for (const one of await page.mine()) {
		const offer = one.path === `${partPath()}/findings` && form.querySelector(`[data-found="${CSS.escape(one.fields.check_point)}"]`);
		if (!offer) continue;
		note(offer, `Written down, kept on this tablet: ${one.words.map(([, value]) => value).join(", ")}`);
		offer.dataset.kept = "yes";
		fill({ [one.fields.check_point]: "finding" });
	}
	for (const half of await halves())
		if (half.who === page.who && half.path === `${partPath()}/findings`) note(form, `A finding that you began is kept on this tablet: ${half.title}.`, half.page);
}
/** The way on while the server cannot be asked what has no answer yet. */
function wayOn() {
	for (const offer of form.querySelectorAll("[data-found]")) {
		const found = form.querySelector(`[name="${CSS.escape(offer.dataset.found)}"][value=finding]:checked`);
		const written = offer.dataset.kept || offer.closest("section").querySelector('a[href*="/findings/"]');
		if (found && !written) return offer.querySelector("a").getAttribute("href");
	}
	return form.dataset.after;
}
async function wayOfServer() {
	const answer = await fetch(page.inspection, { headers: { accept: "application/json" }, signal: AbortSignal.timeout(PATIENCE) });
	return (await answer.json()).inspection.next;
}
/** On, when what was answered is stored, or kept together with the pages to come. */
async function saveAnswers() {
	await inLine(keepAnswers);
	const stopped = await sentSoon();
	if ((await ownHere()).some(isBad)) return;
	if (stopped === "done") location.href = await wayOfServer().catch(wayOn);
	else if (stopped === "signed out" || hasNextPage()) location.href = wayOn();
}
let soon;
async function beginAnswers() {
	fill(Object.assign({}, ...(await ownHere()).map((one) => one.fields), early()));
	await showKept();
	for (const input of form.querySelectorAll("input:checked")) offerFinding(input);
	page.heard = (outcome, one) => {
		if (one.path === path && outcome === "sent") follow(one).then(compare);
		else if (one.path === path) compare();
		else if (outcome === "sent" && one.path === `${partPath()}/findings`) location.reload(); // it stands there now
	};
	form.addEventListener("change", (event) => {
		offerFinding(event.target);
		if (filling) return;
		inLine(keepAnswers);
		clearTimeout(soon);
		soon = setTimeout(page.sendNow, SOON);
	});
	if (!document.getElementById("errors")) await keepAnswers(); // what was refused is not sent as it is
}

// --- a finding ----------------------------------------------------------------------------------

/** Only what can be found at the chosen point, and what can follow from it, is left to choose. */
function narrow() {
	const { check_point: point, defect } = form.elements;
	const possible = [...document.querySelectorAll("li[data-at]")].filter((one) => one.dataset.at === point.value);
	for (const option of defect.options) option.disabled = option.hidden = Boolean(option.value && point.value) && !possible.some((one) => one.dataset.defect === option.value);
	if (defect.selectedOptions[0]?.disabled) defect.value = "";
	const outcomes = possible.find((one) => one.dataset.defect === defect.value)?.dataset.outcomes.split(" ");
	for (const input of form.querySelectorAll("[name=outcome]")) {
		input.disabled = input.closest("label").hidden = Boolean(outcomes) && !outcomes.includes(input.value);
		if (outcomes?.length === 1 && !input.disabled) input.checked = true;
	}
}
/** What the form says of the chosen point: data-seen, data-group. */
const chosenPoint = () => ({ ...form.dataset, ...form.elements.check_point?.selectedOptions?.[0]?.dataset });
function wayBack() {
	const { group, after } = chosenPoint();
	return group ? `${partPath()}?group=${group}` : after;
}
/** Where a form that is not finished is opened again; the form for any finding is one. */
function halfPage(any = "any" in form.dataset) {
	const { check_point: point, defect } = form.elements;
	return any || form.dataset.keep === "change" ? path : `${path}?point=${point.value}&defect=${defect.value}`;
}
const halfAt = (place = halfPage()) => `${page.who} ${place}`;

async function saveFinding() {
	const kind = form.dataset.keep, now = valuesOf(form);
	const fields = kind === "change" ? now : Object.fromEntries(Object.entries(now).filter(([, value]) => value));
	const made = await change(kind, fields, kind === "change" ? first : { seen: chosenPoint().seen });
	const stopped = await sentSoon(), left = (await changes()).find((one) => one.id === made.id);
	if (left?.status === 422) {
		// What is missing the server says best, on its own page, with all of it still in the form.
		await dropChange(left.id);
		await dropHalf(halfAt());
		await keepHalf(halfPage(false));
		await freshen(form, page.who);
		leave();
		return;
	}
	if (left && !isLasting()) return;
	await dropHalf(halfAt());
	page.half = false;
	await page.show();
	if (!left) location.href = stopped === "done" ? await wayOfServer().catch(wayBack) : wayBack();
	else if (left.state === "waiting" && (stopped === "signed out" || hasNextPage())) location.href = wayBack();
}
function keepHalf(place = halfPage()) {
	page.half = true;
	return putHalf({ at: halfAt(place), page: place, who: page.who, name: page.name, path, title: title(), fields: valuesOf(form), base: first }).then(page.show);
}
async function beginFinding() {
	const half = (await halves()).find((one) => one.at === halfAt()), isNew = form.dataset.keep === "finding", typed = early();
	if ("any" in form.dataset) {
		const asked = new URLSearchParams(location.search);
		form.addEventListener("change", narrow);
		fill({ check_point: asked.get("point") ?? "" });
		fill({ defect: asked.get("defect") ?? "" });
	}
	if (half && !document.getElementById("errors")) {
		// First what the others depend on.
		const own = Object.entries(half.fields).filter(([name, value]) => isNew || value !== (half.base[name] ?? ""));
		for (const [name, value] of own) fill({ [name]: value });
		page.half = true;
	}
	fill(typed);
	form.addEventListener("input", () => { if (!filling) inLine(() => keepHalf()); });
	if (Object.keys(typed).length) await keepHalf();
}

// --- buttons -------------------------------------------------------------------------------------

/** As without scripts: the browser sends the form. */
function leave(button) {
	leaving = true;
	form.requestSubmit(button);
}
/** Another button of the answers is the server's; all that waits has to arrive first. */
async function letServer(button) {
	await inLine(keepAnswers);
	const stopped = await sentSoon();
	page.words = stopped === "done" ? "" : `"${button.textContent.trim()}" needs the network. Save and go on does not`;
	await page.show();
	if (stopped !== "done" || (await ownHere()).some(isBad)) return;
	const { values } = await freshen(form, page.who);
	fill(Object.fromEntries(Object.entries(values).filter(([, value]) => value))); // others' answers are sent as they stand
	leave(button);
}
async function sign(button) {
	const ofThis = async () => (await page.mine()).some((one) => one.path.startsWith(`${page.inspection}/`));
	const waited = await ofThis(), stopped = await sentSoon();
	page.words = "";
	if (stopped !== "done" || !await isThere(page.who)) page.words = "Signing needs the network. Nothing is lost";
	else if (!waited) leave(button); // else the page comes again, with what was sent
	await page.show();
}
function save(button) {
	if (form.dataset.keep === "sign") return sign(button);
	if (form.dataset.keep !== "answers") return saveFinding();
	return button?.name ? letServer(button) : saveAnswers();
}
/** Before other listeners: a form that is kept is sent here and not by the browser. */
function submitted(event) {
	if (leaving) return;
	event.preventDefault();
	event.stopPropagation();
	if (busy) return;
	busy = true;
	line.then(() => save(event.submitter)).catch((error) => console.error(error)).finally(() => { busy = false; });
}

/** Takes the form of the page in hand; see keeping.js for what `given` holds. */
export async function beginForm(given) {
	({ form, path } = page = given);
	if (!form) return;
	first = valuesOf(form, true);
	version = form.elements._version?.value;
	const comesBack = document.getElementById("errors") && form.dataset.keep === "answers";
	if (comesBack) first = await storedValues(path, page.who);
	else if (!page.kept && !("any" in form.dataset)) remember(addressOf({ kind: form.dataset.keep, path, fields: first }), readPage(document, path));
	form.addEventListener("submit", submitted);
	addEventListener("pageshow", () => { leaving = false; });
	if (form.dataset.keep === "answers") await beginAnswers();
	else if (form.dataset.keep !== "sign") await beginFinding();
}
