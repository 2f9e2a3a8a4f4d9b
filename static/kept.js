// The page "Kept on this tablet": what was not sent yet, what the record does not take, and
// what somebody else answered differently, for the person to choose.
"use strict";
import { changes, dropChange, dropHalf, halves, putHalf, updateChange } from "./keeping-changes.js";
import { isPhoto, miniature } from "./keeping-photo.js";
import { addressOf } from "./keeping-send.js";

const { who, name } = document.body.dataset;
const place = document.querySelector("[data-not-sent]");
const states = { waiting: ["kept", "Not sent yet"], conflict: ["refused", "Somebody else answered differently"], refused: ["refused", "Could not be saved"] };

function make(kind, properties = {}, ...inside) {
	const element = Object.assign(document.createElement(kind), properties);
	element.append(...inside);
	return element;
}
const button = (words, className, act) => make("button", { type: "button", className, textContent: words, onclick: async () => {
	await act();
	await list();
	place.focus();
} });
const facts = (words) => make("dl", { className: "facts" }, ...words.flatMap(([what, value]) => [make("dt", { textContent: what }), make("dd", { textContent: value })]));

/** Mine or theirs, point by point. */
function choices(change) {
	const mine = new Map(change.words), form = make("form", { method: "dialog" });
	for (const [i, theirs] of change.theirs.entries()) {
		const own = change.kind === "finding" ? change.words.map(([, value]) => value).join(", ") : mine.get(theirs.words[0]) ?? "(nothing)";
		const choice = (value, words) => make("label", { className: "choice" }, make("input", { type: "radio", name: `point-${i}`, value, required: true }), " ", make("span", { textContent: words }));
		form.append(make("fieldset", { className: "field" }, make("legend", { textContent: theirs.words[0] }),
			make("div", { className: "choices stacked" }, choice("mine", `Mine: ${own}`), choice("theirs", `Theirs: ${theirs.words[1]}`))));
	}
	form.append(make("div", { className: "actions" }, make("button", { type: "submit", textContent: "Keep what I chose" })));
	form.onsubmit = async (event) => {
		event.preventDefault();
		const chosen = new FormData(form);
		const left = await updateChange(change.id, (one) => settle(one, (i) => chosen.get(`point-${i}`) === "mine"));
		if (!Object.keys(left.fields).length) await dropChange(change.id);
		dispatchEvent(new Event("online")); // there is something to send
		await list();
	};
	return form;
}
/** What was chosen is seen now: it goes on as if the form had been shown so. */
function settle(change, isMine) {
	for (const [i, { name: field, value }] of change.theirs.entries()) {
		if (change.kind === "finding") {
			change.base.seen = value;
			if (!isMine(i)) change.fields = {};
		} else if (isMine(i)) change.base[field] = value;
		else if (change.kind === "answers") delete change.fields[field];
		else change.fields[field] = change.base[field] = value;
	}
	Object.assign(change, { state: "waiting", theirs: undefined, version: undefined });
}
/** A finding goes back into its form, where what is wrong with it can be mended. */
async function putBack(change) {
	const page = addressOf(change);
	await putHalf({ at: `${who} ${page}`, page, who, name, path: change.path, title: change.title, fields: change.fields, base: change.base });
	await dropChange(change.id);
	location.href = page;
}
/** Of a photo that the record does not take nothing is left but this one. */
const toFile = (photo) => make("a", { className: "button quiet", href: URL.createObjectURL(photo.blob), download: "photo.jpg", textContent: "Save it as a file" });
async function card(change) {
	const [state, words] = states[change.state];
	const acts = make("div", { className: "actions" });
	if (change.state === "refused" && !["answers", "photo"].includes(change.kind)) acts.append(button("Back into its form", "", () => putBack(change)));
	if (change.state !== "waiting") acts.append(button("Dismiss", "danger", () => dropChange(change.id)));
	if (change.state === "refused" && isPhoto(change)) acts.append(toFile(change));
	const state_ = make("span", { className: "keeping", textContent: words });
	state_.dataset.state = state;
	return make("section", { className: "card" }, make("h3", {}, make("a", { href: addressOf(change), textContent: change.title })), make("p", {}, state_, `${change.state === "refused" ? `: ${change.detail}` : ""}`),
		make("p", { className: "help", textContent: `Written on ${new Date(change.made).toLocaleString("sv")}` }), ...(isPhoto(change) ? await miniature(change.blob, "The photo") : []), ...(change.state === "conflict" && change.kind === "answers" ? [] : [facts(change.words)]), ...(change.state === "conflict" ? [choices(change)] : []), acts);
}
const halfCard = (half) => make("section", { className: "card" }, make("h3", {}, make("a", { href: half.page, textContent: half.title })),
	make("p", { textContent: "Begun and not saved yet." }), make("div", { className: "actions" }, button("Dismiss", "danger", () => dropHalf(half.at))));

let listed;
async function list() {
	const own = (one) => one.who === who, kept = [(await changes()).filter(own), (await halves()).filter(own)];
	if (JSON.stringify(kept) === listed) return; // what somebody is choosing in stays
	listed = JSON.stringify(kept);
	const cards = [...await Promise.all(kept[0].map(card)), ...kept[1].map(halfCard)];
	place.replaceChildren(...(cards.length ? [make("h2", { textContent: "Not in the record" }), ...cards] : [make("p", { className: "empty", textContent: "Nothing is kept that was not sent." })]));
}
place.tabIndex = -1;
addEventListener("keeping", list);
await list();
