// A finding of an inspection: given by its button, and kept half written until then.
"use strict";
import { addChange, changes, dropChange, dropHalf, halves, isLasting, jot, putHalf } from "./keeping-changes.js";
import { beginForm, early, fill, filling, first, form, hasNextPage, inLine, leave, made, page, partPath, path, sentSoon, title, wayOfServer } from "./keeping-form.js";
import { freshen, valuesOf } from "./keeping-send.js";

/** Only what can be found at the chosen point, and what can follow from it, is left to choose. */
function narrow() {
	const { check_point: point, defect } = form.elements;
	// By their places in the lists: a defect, then what may follow from it.
	const possible = [...document.querySelectorAll(`[data-at="${CSS.escape(point.value)}"] > li`)].map((one) => one.dataset.may.split(" ").map(Number));
	for (const [i, option] of [...defect.options].entries()) option.disabled = option.hidden = Boolean(option.value && point.value) && !possible.some(([number]) => number === i);
	if (defect.selectedOptions[0]?.disabled) defect.value = "";
	const outcomes = possible.find(([number]) => number === defect.selectedIndex)?.slice(1);
	for (const [i, input] of form.querySelectorAll("[name=outcome]").entries()) {
		input.disabled = input.closest("label").hidden = Boolean(outcomes) && !outcomes.includes(i + 1);
		if (outcomes?.length === 1 && !input.disabled) input.checked = true;
	}
}
/** What the form says of the chosen point: data-seen, if anything is there, and data-group. */
const chosenPoint = () => ({ seen: "|", ...form.dataset, ...form.elements.check_point?.selectedOptions?.[0]?.dataset });
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

/** What becomes of it in the end: until then the button does nothing more. */
const fateOf = (change) => new Promise((done) => {
	page.heard = (outcome, one) => { if (one.id === change.id) done(outcome); };
});
async function saveFinding() {
	const kind = form.dataset.keep, now = valuesOf(form);
	const fields = kind === "change" ? now : Object.fromEntries(Object.entries(now).filter(([, value]) => value));
	const change = await addChange(made(kind, fields, kind === "change" ? first : { seen: chosenPoint().seen }));
	const fate = fateOf(change), stopped = await sentSoon(), left = (await changes()).find((one) => one.id === change.id);
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
	if (!left) location.href = stopped === "done" ? await wayOfServer(wayBack()).catch(wayBack) : wayBack();
	else if (left.state === "waiting" && (stopped === "signed out" || hasNextPage() || await fate === "sent")) location.href = wayBack();
}
const halfNow = (place = halfPage()) => ({ at: halfAt(place), page: place, who: page.who, name: page.name, path, title: title(), fields: valuesOf(form), base: first });
function keepHalf(place) {
	page.half = true;
	return putHalf(halfNow(place)).then(page.show);
}
export async function begin(given) {
	await beginForm(given, saveFinding);
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
	form.addEventListener("input", () => {
		if (filling) return;
		jot("halves", halfNow());
		inLine(() => keepHalf());
	});
	if (Object.keys(typed).length) await keepHalf();
}
