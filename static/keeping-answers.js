// Answers of an inspection, stored as they are given.
"use strict";
import { addChange, halves, jot } from "./keeping-changes.js";
import { beginForm, early, fill, filling, first, form, hasNextPage, inLine, isBad, made, note, opening, ownHere, page, partPath, path, sentSoon, wayOfServer } from "./keeping-form.js";
import { knownValues, knownVersion, storedValues, valuesOf } from "./keeping-send.js";

const SOON = 700; // ms: answers given in quick succession go together

let version; // that the page's forms speak of

let waiting = {}; // answers of this form that are kept and not sent, as far as was seen
/** What was answered since, if anything. more: what is to be said of these answers beside them. */
function answered(more) {
	const before = { ...first, ...knownValues(path), ...waiting }, now = valuesOf(form);
	const names = Object.keys(now).filter((name) => now[name] !== (before[name] ?? ""));
	const of = (values) => Object.fromEntries(names.map((name) => [name, values[name] ?? ""]));
	return names.length ? made("answers", of(now), of(before), more) : undefined;
}
async function keepAnswers(more) {
	waiting = Object.assign({}, ...(await ownHere()).map((one) => one.fields));
	const change = answered(more);
	if (!change) return jot("changes");
	await addChange(change);
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
	const known = knownValues(path) ?? {}, stored = await storedValues(path, page.who), own = await ownHere();
	// What was tapped meanwhile stays.
	const news = Object.entries(stored).filter(([name, value]) => !isTick(name) && value !== (known[name] ?? "") && !own.some((other) => name in other.fields));
	Object.assign(known, Object.fromEntries(news));
	fill(Object.fromEntries(news));
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
/** On, when what was answered is stored, or kept together with the pages to come. */
async function saveAnswers() {
	await inLine(() => keepAnswers());
	let stopped = await sentSoon();
	if (stopped === "away" && !hasNextPage()) stopped = await page.sendNow(); // there is no page to go on to before it is sent
	if ((await ownHere()).some(isBad)) return;
	if (stopped === "done") location.href = await wayOfServer(path).catch(wayOn);
	else if (stopped === "signed out" || hasNextPage()) location.href = wayOn();
}
const second = (time) => new Date(time).toISOString().replace(/\.\d+/, "");
/** "All sound in this group": what has no answer yet and no finding from before, as if each were tapped. */
async function answerTogether() {
	const hasNone = (section) => section.querySelector("input[type=radio]") && !section.querySelector("input:checked");
	const none = [...form.querySelectorAll("section")].filter(hasNone), left = none.filter((section) => section.querySelector("[data-open]"));
	const points = none.filter((section) => !left.includes(section)).map((section) => section.querySelector("input").name);
	const together = { points, opening, opened: second(performance.timeOrigin), answered: second(Date.now()) };
	fill(Object.fromEntries(points.map((name) => [name, "sound"])));
	jot("changes", answered({ together }));
	await inLine(() => keepAnswers({ together }));
	if (!left.length) return saveAnswers();
	left[0].querySelector("input").focus();
	return page.sendNow();
}
let soon;
export async function begin(given) {
	await beginForm(given, (button) => (button?.name ? answerTogether() : saveAnswers()));
	version = form.elements._version?.value;
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
		jot("changes", answered());
		inLine(() => keepAnswers());
		clearTimeout(soon);
		soon = setTimeout(page.sendNow, SOON);
	});
	if (!document.getElementById("errors")) await keepAnswers(); // what was refused is not sent as it is
}
