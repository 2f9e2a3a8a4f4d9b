// Photos: made small on this device, kept on it and sent while the form goes on being filled in.
// Comfort only: without this script one photo at a time is sent as it is, and the server makes it small.
"use strict";
import { addChange, changes, dropChange } from "./keeping-changes.js";
import { isPhoto, miniature, subjectOf } from "./keeping-photo.js";

const form = document.querySelector("form[data-photos]"), action = form.getAttribute("action");
const { who, name } = document.body.dataset;
const point = document.querySelector("[data-any] [name=check_point]"); // the page for any finding asks for it
/** Where photos taken now go; "" as long as that is not chosen. */
const pathNow = () => (!point ? action : point.value && `${action}?point=${point.value}`);
const isHere = (path) => subjectOf(path) === subjectOf(pathNow());
const longest = 1600, quality = 0.8; // pixels of the longer side; of JPEG
const make = (name, properties, ...children) => {
	const element = Object.assign(document.createElement(name), properties);
	element.append(...children);
	return element;
};

/** As a JPEG of that size, upright. What the browser cannot read the server explains. */
async function smaller(file) {
	let picture;
	try {
		picture = await createImageBitmap(file, { imageOrientation: "from-image" });
	} catch { return file; }
	const scale = Math.min(1, longest / Math.max(picture.width, picture.height));
	const canvas = make("canvas", { width: Math.max(1, Math.round(picture.width * scale)), height: Math.max(1, Math.round(picture.height * scale)) });
	const paper = canvas.getContext("2d", { alpha: false });
	paper.fillStyle = "#fff";
	paper.fillRect(0, 0, canvas.width, canvas.height);
	paper.drawImage(picture, 0, 0, canvas.width, canvas.height);
	picture.close();
	return await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality)) ?? file;
}

const input = form.querySelector("[type=file]"), waiting = make("ul", { className: "uploads" });
const words = make("p", { className: "help" });
words.setAttribute("role", "status");
/** Heard; and seen, unless it stands elsewhere already. */
const say = (text, isSeen = true) => Object.assign(words, { className: isSeen ? "help" : "unseen", textContent: text });

// --- what waits, and what was stored -------------------------------------------------------------

const lines = new Map(); // by the change's id
let number = 0;

async function addLine(photo) {
	const title = `Photo ${++number}`, bar = make("progress", { max: 1, value: 0 }), says = make("span");
	bar.setAttribute("aria-label", title);
	const drop = make("button", { type: "button", className: "quiet", textContent: "Leave it out" });
	const line = { title, bar, says, element: make("li", {}) };
	lines.set(photo.id, line);
	drop.addEventListener("click", async () => {
		await dropChange(photo.id);
		dispatchEvent(new Event("online")); // the state of what is left is said anew
		await list();
		input.focus();
	});
	line.element.append(...await miniature(photo.blob, title), make("p", {}, `${title} `, says, " ", bar), make("p", { className: "actions" }, drop));
	waiting.append(line.element);
}
function tell({ title, bar, says }, photo) {
	const isRefused = photo.state === "refused";
	bar.hidden = true; // until it goes on
	says.className = isRefused ? "field-error" : "help";
	const state = isRefused ? `was not taken: ${photo.detail}` : "is kept on this tablet and will be sent.";
	if (says.textContent === state) return;
	says.textContent = state;
	if (isRefused) say(`${title} ${state}`, false);
}
/** One look at a time, so that no photo gets two lines. */
let looking = Promise.resolve();
const list = () => (looking = looking.then(look).catch((error) => console.error(error)));
async function look() {
	const own = (await changes()).filter((one) => isPhoto(one) && one.who === who && isHere(one.path));
	for (const photo of own) {
		if (!lines.has(photo.id)) await addLine(photo);
		tell(lines.get(photo.id), photo);
	}
	for (const [id, line] of lines) if (!own.some((one) => one.id === id)) {
		line.element.remove();
		lines.delete(id);
	}
}
function show(photo) {
	let stored = form.parentElement.querySelector("ul.photos");
	if (!stored) form.before(stored = make("ul", { className: "photos" }));
	const image = make("img", { src: photo.small, alt: photo.alt, width: photo.width, height: photo.height });
	stored.append(make("li", {}, make("a", { href: photo.url }, image)));
	say("The photo is stored.");
}
addEventListener("keeping", list);
addEventListener("sending", ({ detail: { id, part } }) => { if (lines.has(id)) Object.assign(lines.get(id).bar, { value: part, hidden: false }); });
addEventListener("sent", ({ detail: { change, photo } }) => { if (isHere(change.path)) show(photo); });
point?.addEventListener("change", list);

// --- taking one ----------------------------------------------------------------------------------

async function take(file) {
	await addChange({ who, name, path: pathNow(), kind: "photo", title: document.querySelector("h1").textContent.trim(), fields: {}, words: [["Photo", file.name]], blob: await smaller(file) });
	dispatchEvent(new Event("online")); // there is something to send
}
let taking = 0, held = null, line = Promise.resolve();
/** A form that was sent meanwhile goes when all are kept: its finding takes them. */
function taken() {
	if (--taking) return;
	held?.target.requestSubmit(held.submitter);
	held = null;
}
function takeChosen() {
	for (const file of input.files) {
		taking++;
		line = line.then(() => take(file)).catch((error) => console.error(error)).finally(taken);
	}
	input.value = "";
}
input.addEventListener("change", takeChosen);
addEventListener("submit", (event) => {
	if (!taking || event.target.closest("header")) return;
	event.preventDefault();
	event.stopImmediatePropagation();
	held = event;
}, true);

const buttons = make("p", { className: "actions" });
function offer(label, camera) {
	const button = make("button", { type: "button", className: "quiet", textContent: label });
	button.addEventListener("click", () => {
		if (!pathNow()) {
			say("Choose the check point first.");
			point.focus();
			return;
		}
		input.multiple = !camera;
		if (camera) input.setAttribute("capture", "environment");
		else input.removeAttribute("capture");
		input.click();
	});
	buttons.append(button);
}
if (matchMedia("(any-pointer: coarse)").matches) offer("Take a photo", true);
offer("Choose photos", false);
for (const native of form.querySelectorAll(".field, .actions")) native.hidden = true;
form.append(buttons, waiting, words);
form.parentElement.hidden = false;
takeChosen(); // before this script was there
await list();
