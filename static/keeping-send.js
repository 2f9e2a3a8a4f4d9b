// Sends what waits, one change after the other and each once. Before a change goes, what the
// server has now is compared with what the person saw: what others did elsewhere on the same
// form is merged, what they did at the same point is shown to both sides' owner to choose.
"use strict";
import { changes, dropChange, partChange, updateChange } from "./keeping-changes.js";
import { isFor, isPhoto, postPhoto } from "./keeping-photo.js";

const PATIENCE = 10000; // ms for one request
const AT_ONCE = 30000; // ms

// --- forms -------------------------------------------------------------------------------

// What a page carries for the server's own reckoning.
const isMechanics = (name) => name.startsWith("_") || name === "opening";
const givenValue = (input) => (input.options ? ([...input.options].find((one) => one.defaultSelected) ?? input.options[0])?.value : input.defaultValue);
/** The values of a form by name, now or as the page came; mechanics, files and secrets are none of them. */
export function valuesOf(form, asGiven = false) {
	const values = {};
	for (const input of form.elements) {
		if (!input.name || input.disabled || isMechanics(input.name) || ["file", "password", "submit", "button"].includes(input.type)) continue;
		if (["radio", "checkbox"].includes(input.type)) {
			values[input.name] ??= "";
			if (asGiven ? input.defaultChecked : input.checked) values[input.name] = input.value;
		} else values[input.name] = asGiven ? givenValue(input) ?? "" : input.value;
	}
	return values;
}
const plain = (text) => text.replace(/\s+/g, " ").replace(" (required)", "").trim();
/** A field and its value as people read them. */
export function wordsOf(form, name, value) {
	const inputs = [...form.querySelectorAll(`[name="${CSS.escape(name)}"]`)], input = inputs[0];
	if (!input) return [name, value];
	const group = input.closest("fieldset")?.querySelector("legend") ?? form.querySelector(`label[for="${CSS.escape(input.id)}"]`);
	const chosen = input.type === "radio" ? inputs.find((one) => one.value === value)?.closest("label")
		: [...(input.options ?? [])].find((one) => one.value === value);
	return [plain(group?.textContent ?? name), value ? plain(chosen?.textContent ?? value) : "(nothing)"];
}
/** A page as far as sending needs it. */
export function readPage(page, path) {
	const form = [...page.forms].find((one) => one.dataset.keep && one.getAttribute("action") === path);
	return { who: page.body.dataset.who ?? "", token: page.querySelector("input[name=_token]")?.value, form,
		version: form?.elements._version?.value, values: form ? valuesOf(form, true) : {}, seen: form?.dataset.seen };
}

// --- what is known of the server ---------------------------------------------------------------

/** Where the form of a change is: that of a finding has one for each point and defect, that of a photo is a part of it. */
export function addressOf({ kind, path, fields }) {
	if (kind === "photo") return path.replace(/\/photos(?=\?|$)/, "");
	return kind === "finding" ? `${path}?point=${fields.check_point}&defect=${fields.defect}` : path;
}

// Forms as the server last showed them, by address, and the form token of the session.
const known = new Map();
let token = null;
export function remember(address, page) {
	known.set(address, page);
	token = page.token;
}
export const knownValues = (address) => known.get(address)?.values;
export const knownVersion = (address) => known.get(address)?.version;

class Stop extends Error {} // message: why nothing can be sent now
class Refusal extends Error {} // message: why this change cannot be saved

/** An answer, unless it has to wait. */
async function heard(asked) {
	const answer = await asked.catch(() => { throw new Stop("away"); });
	if (answer.status === 401) throw new Stop("signed out");
	if (answer.status >= 500 || answer.status === 429) throw new Stop("busy");
	return answer;
}
const ask = (path, options) => heard(fetch(path, { ...options, signal: AbortSignal.timeout(PATIENCE) }));
/** A page of the server, never one that the tablet kept, for the person whose change it is. */
async function lookAt(address, path, who) {
	const answer = await ask(address, { headers: { accept: "text/html" } });
	const text = await answer.text().catch(() => { throw new Stop("away"); });
	const document = new DOMParser().parseFromString(text, "text/html");
	const page = readPage(document, path);
	if (page.who !== who) throw new Stop("signed out");
	if (!answer.ok) throw new Refusal(plain(document.querySelector("#errors")?.textContent ?? answer.statusText));
	token = page.token;
	return page;
}
async function lookAtForm(change) {
	const page = await lookAt(addressOf(change), change.path, change.who);
	if (!page.form) throw new Refusal("The form is not there any more.");
	known.set(addressOf(change), page);
	return page;
}

// --- comparing -----------------------------------------------------------------------------

/** [answer, identities of the findings] at a point. */
const standing = (seen) => [seen.split("|")[0], new Set(seen.split("|")[1].split(",").filter(Boolean))];

/** What somebody else did where this person did something else: [field, what stands there]. */
function contradictions(change, now) {
	if (change.kind !== "finding")
		return Object.keys(change.fields).filter((name) => (now.values[name] ?? "") !== (change.base[name] ?? "")
			&& change.fields[name] !== change.base[name] && now.values[name] !== change.fields[name])
			.map((name) => [name, now.values[name] ?? ""]);
	const [before, found] = standing(change.base.seen), [answer, findings] = standing(now.seen);
	if ([...findings].some((id) => !found.has(id))) return [["finding", "finding"]];
	return ["", "finding", before].includes(answer) ? [] : [["finding", answer]];
}
/** Takes over what others did and leaves out what is as this person wants it already. */
function merge(change, now) {
	for (const name of Object.keys(change.fields)) {
		if (change.kind === "change" && change.fields[name] === change.base[name]) change.fields[name] = now.values[name] ?? "";
		// A tick that answers for others is never shown as given: whether it still says something new, the server knows.
		const isTick = now.form.elements[name]?.type === "checkbox";
		if (change.kind === "answers" && !isTick && now.values[name] === change.fields[name]) delete change.fields[name];
	}
}
function theirsInWords(change, now, [name, value]) {
	if (change.kind !== "finding") return { name, value, words: wordsOf(now.form, name, value) };
	return { name, value: now.seen, words: ["This check point", value === "finding" ? "somebody else wrote down a finding here" : `answered: ${value.replace("_", " ")}`] };
}

// --- sending one --------------------------------------------------------------------------------

/** Sure that nobody else's work is hidden by it, and then with which version. */
async function prepare(change) {
	const now = known.get(addressOf(change)) ?? await lookAtForm(change);
	const prepared = await updateChange(change.id, (one) => {
		const others = contradictions(one, now);
		if (others.length) {
			one.state = "conflict";
			one.detail = "somebody else answered the same point differently";
			one.theirs = others.map((other) => theirsInWords(one, now, other));
			return;
		}
		merge(one, now);
		// When the page was opened counts as working time until it is saved: not with a way later.
		if (Date.now() - Date.parse(one.made) > AT_ONCE) delete one.opening;
		one.version = now.version;
	});
	// What nobody else answered does not wait for the choice.
	if (prepared?.state === "conflict" && prepared.kind === "answers") await partChange(prepared, (name) => !prepared.theirs.some((other) => other.name === name));
	return prepared;
}
/** What was answered by one tap, and is still answered so; when it was, if it waited. */
function togetherOf({ together, fields, opening }) {
	const points = (together?.points ?? []).filter((name) => fields[name] === "sound");
	if (!points.length) return {};
	return { together: points.join(" "), together_opening: together.opening, ...(opening ? {} : { away_opened_at: together.opened, away_answered_at: together.answered }) };
}
async function post(change) {
	if (!token) await lookAt("/kept", "", change.who);
	if (isPhoto(change)) return heard(postPhoto(change, token));
	return ask(change.path, { method: "POST", headers: { accept: "application/json" },
		body: new URLSearchParams({ _token: token, _key: change.key, _version: change.version, ...(change.opening ? { opening: change.opening } : {}), ...togetherOf(change), ...change.fields }) });
}
async function problemOf(answer) {
	const problem = await answer.json().catch(() => ({}));
	return [problem.detail, ...(problem.errors ?? []).map((one) => one.message)].filter((one, i, list) => one && list.indexOf(one) === i).join(" ") || `status ${answer.status}`;
}
/** It is in the record: what the tablet knows of the form follows. */
async function settle(change, answer) {
	const doc = await answer.json().catch(() => ({})), page = known.get(change.path), version = answer.headers.get("etag")?.replaceAll('"', "");
	if (change.kind === "finding") {
		// Its own finding is nothing that somebody else did there.
		for (const other of await changes())
			if (other.kind === "finding" && other.path === change.path && other.id !== change.id && doc.finding)
				await updateChange(other.id, (one) => { if (one.fields.check_point === change.fields.check_point) one.base.seen += `${doc.finding},`; });
		known.clear(); // its part has another version now
	} else if (isPhoto(change)) dispatchEvent(new CustomEvent("sent", { detail: { change, photo: doc.photo } }));
	else if (page && version) {
		page.version = version;
		Object.assign(page.values, change.fields);
		for (const path of [...known.keys()]) if (path !== change.path) known.delete(path);
	} else known.delete(change.path);
	await dropChange(change.id);
}
/** "sent", "conflict" or "refused"; a Stop when it has to wait. */
async function send(change) {
	let tokens = 0;
	for (;;) {
		if (!change.version && !isPhoto(change)) change = await prepare(change);
		if (!change || change.state !== "waiting") return "conflict";
		if (!Object.keys(change.fields).length && !isPhoto(change)) {
			await dropChange(change.id);
			return "sent";
		}
		const answer = await post(change);
		if (answer.ok) {
			await settle(change, answer);
			return "sent";
		}
		if (answer.status === 412 || answer.status === 428) {
			known.delete(addressOf(change));
			change = await updateChange(change.id, (one) => { delete one.version; });
		} else if (answer.status === 403 && !tokens++) token = null;
		else throw Object.assign(new Refusal(await problemOf(answer)), { status: answer.status });
	}
}

// --- sending all ----------------------------------------------------------------------------------

/** The part of an inspection that a change is about: /inspections/7/parts/3. */
const partOf = (path) => path.split("?")[0].replace(/\/findings$/, "");

/** The first that may go: a finding waits for the choice at its point, which it would decide, and
 * for its photos; for other photos nothing waits. */
function nextOf(list, who) {
	const open = list.filter((one) => one.who === who && one.state === "conflict");
	const waits = (one) => open.some((other) => partOf(other.path) === partOf(one.path) && other.theirs.some(({ name }) => name === one.fields.check_point));
	const may = list.filter((one) => one.who === who && one.state === "waiting" && !waits(one)), photos = may.filter(isPhoto);
	const first = may.find((one) => !isPhoto(one));
	return first ? photos.find((one) => isFor(one, first)) ?? first : photos[0];
}
async function sendAll(who, tell) {
	for (;;) {
		const change = nextOf(await changes(), who);
		if (!change) return "done";
		try {
			tell(await send(change), change);
		} catch (error) {
			if (error instanceof Stop) return error.message;
			if (!(error instanceof Refusal)) throw error;
			await updateChange(change.id, (one) => Object.assign(one, { state: "refused", detail: error.message, status: error.status }));
			tell("refused", change);
		}
	}
}
let running = null, queued = null;
function start(who, tell) {
	const work = () => sendAll(who, tell);
	return running = (navigator.locks ? navigator.locks.request("keeping", work) : work()).finally(() => { running = null; });
}
/**
 * Sends what waits of this person: "done", or why it stopped: "away", "busy", "signed out". One
 * page at a time does it. tell(outcome, change) hears of each.
 */
export function flush(who, tell) {
	if (!running) return start(who, tell);
	// What came since it began may have been missed.
	return queued ??= running.catch(() => {}).then(() => {
		queued = null;
		return start(who, tell);
	});
}
/** The values of a form as they are on the server now; none when it cannot be asked. */
export const storedValues = (path, who) => lookAt(path, path, who).then((page) => page.values, () => ({}));
/** Gives a form that the browser sends the version and the form token that hold now; what stands there now. */
export async function freshen(form, who) {
	const path = form.getAttribute("action"), page = known.get(path) ?? await lookAt(location.href, path, who);
	if (page.form && form.elements._version) form.elements._version.value = page.version;
	form.elements._token.value = token;
	return page;
}
/** Whether the server answers, be it that it asks who this is. */
export const isThere = (who) => lookAt("/kept", "", who).then(() => true, (error) => error.message === "signed out");
