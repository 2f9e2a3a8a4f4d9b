// What was done on this tablet and is not in the department's record yet: in the browser's
// database, on the disk before anybody is told that it is kept.
//
// A change is what one form sends: { id, who, name (of the person), path (where it goes), kind
// ("answers": some fields of a form; "change": all of them; "finding": a new one; "photo": its blob), fields
// and what they were before it (base), together (points answered by one tap: { points, opening, opened, answered }), words (for people: [what, value, name]), key (that makes it happen once),
// version (that it was sent with, once it was), state ("waiting", "conflict", "refused"), detail,
// theirs, made, opening (of the page, see the form) }. Passwords, PINs and form tokens are no fields of it.
// A half is a form that is not finished: { at, who, name, fields, base }.
// The database takes some milliseconds, in which the page may be left. So what was tapped or typed
// is jotted down before that, and what a page left jotted the next page puts into the database.
"use strict";

let refused = false; // the browser keeps nothing, or not everything

function open() {
	return new Promise((done, failed) => {
		const asked = indexedDB.open("pegwarden", 1);
		asked.onupgradeneeded = () => {
			asked.result.createObjectStore("changes", { keyPath: "id", autoIncrement: true });
			asked.result.createObjectStore("halves", { keyPath: "at" });
		};
		asked.onsuccess = () => done(asked.result);
		asked.onerror = asked.onblocked = () => failed(asked.error);
	});
}
const database = await open().catch(() => { refused = true; });

/** One transaction; `ask` is given the store and says, in the end, what comes out. */
function run(name, mode, ask) {
	return new Promise((done, failed) => {
		const work = database.transaction(name, mode, { durability: "strict" });
		let result;
		ask(work.objectStore(name), (value) => { result = value; });
		work.oncomplete = () => done(result);
		work.onabort = () => failed(work.error);
	});
}

// What the database did not take lives as long as the page.
const loose = { changes: new Map(), halves: new Map() };
let looseId = 2 ** 52; // behind all of the database

/**
 * Reads all of a store, lets `decide` look at it and keeps what that returns, if anything, in
 * one step that nothing comes between. Returns it with its key.
 */
async function keep(name, decide) {
	const fallback = () => {
		const value = decide([...loose[name].values()]);
		if (!value) return value;
		if (name === "changes") value.id ??= looseId++;
		loose[name].set(value.id ?? value.at, value);
		return value;
	};
	if (!database) return fallback();
	try {
		return await run(name, "readwrite", (store, result) => {
			store.getAll().onsuccess = (event) => {
				const value = decide([...event.target.result, ...loose[name].values()]);
				if (!value) return;
				result(value);
				if (value.id >= 2 ** 52) loose[name].set(value.id, value);
				else store.put(value).onsuccess = (stored) => { if (name === "changes") value.id = stored.target.result; };
			};
		});
	} catch {
		refused = true;
		return fallback();
	}
}
async function all(name) {
	const stored = database ? await run(name, "readonly", (store, result) => { store.getAll().onsuccess = (event) => result(event.target.result); }).catch(() => []) : [];
	return [...stored, ...loose[name].values()];
}
async function drop(name, key) {
	loose[name].delete(key);
	if (database) await run(name, "readwrite", (store) => store.delete(key));
}

// --- jotting down --------------------------------------------------------------------------

let paper; // none where the browser refuses it
try { paper = localStorage; } catch { /* the database alone, then */ }
const jots = { changes: 0, halves: 0 }, tab = crypto.getRandomValues(new Uint32Array(1))[0];
const jotKey = (name) => `jotted:${name}:${tab}`;
/** At once, until addChange or putHalf has it; nothing: it is as before. */
export function jot(name, value) {
	jots[name]++;
	try {
		if (value) paper?.setItem(jotKey(name), JSON.stringify(value));
		else paper?.removeItem(jotKey(name));
	} catch { /* it is full: the database has it in a moment */ }
}
/** The database has what was jotted; but not what was since. */
async function settle(name, work) {
	const upTo = jots[name], value = await work;
	if (upTo === jots[name]) jot(name);
	return value;
}
/** Of pages that were left. What a page that is still open jotted comes twice, which changes nothing. */
export async function takeJotted() {
	for (const key of Object.keys(paper ?? {})) {
		const [what, name] = key.split(":"), value = what === "jotted" && paper.getItem(key);
		if (!value) continue;
		await (name === "changes" ? addChange : putHalf)(JSON.parse(value));
		paper.removeItem(key);
	}
}

// --- changes and halves -----------------------------------------------------------------------

/** False: what is not sent is lost with the page. */
export const isLasting = () => !refused;

/** In the order in which they were made. */
export const changes = () => all("changes");
export const dropChange = (id) => drop("changes", id);
/** Changes one that is still there; `decide` is given it as it is now. */
export const updateChange = (id, decide) => keep("changes", (list) => {
	const change = list.find((one) => one.id === id);
	if (change) decide(change);
	return change;
});
const newKey = () => crypto.getRandomValues(new Uint32Array(4)).join("-");
/** The fields of this change that `goes` lets go are a change of their own from now on. */
export async function partChange(change, goes) {
	const split = (values, wanted) => Object.fromEntries(Object.entries(values).filter(([name]) => goes(name) === wanted));
	const words = (wanted) => change.words.filter(([, , name]) => goes(name) === wanted);
	const free = split(change.fields, true);
	if (!Object.keys(free).length) return;
	const { id, theirs: _, ...rest } = change;
	await keep("changes", () => ({ ...rest, key: newKey(), state: "waiting", fields: free, words: words(true) }));
	await updateChange(id, (one) => Object.assign(one, { fields: split(one.fields, false), words: words(false) }));
}
/** Adds fields to the last change when that is of the same form and was not sent yet, else a new one. */
export const addChange = (made) => settle("changes", keep("changes", (list) => {
	const last = list.filter((one) => one.who === made.who).at(-1);
	const joins = made.kind === "answers" && last?.kind === "answers" && last.path === made.path && last.state === "waiting" && !last.version;
	if (!joins) return { ...made, key: newKey(), state: "waiting", made: new Date().toISOString() };
	last.base = { ...made.base, ...last.base };
	Object.assign(last.fields, made.fields);
	if (made.together) last.together = { ...made.together, points: [...new Set([...(last.together?.points ?? []), ...made.together.points])] };
	for (const name of Object.keys(last.fields)) if (last.fields[name] === last.base[name]) delete last.fields[name]; // taken back
	last.words = [...last.words.filter(([what]) => !made.words.some(([other]) => other === what)), ...made.words];
	return last;
}));

export const halves = () => all("halves");
export const putHalf = (half) => settle("halves", keep("halves", () => half));
export const dropHalf = (at) => drop("halves", at);
