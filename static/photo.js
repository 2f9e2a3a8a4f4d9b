// Photos: made small on this device and sent while the form goes on being filled in. Comfort only:
// without this script one photo at a time is sent as it is, and the server makes it small.
"use strict";

(() => {
	const form = document.querySelector("form[data-photos]");
	if (!form) return;
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

	/** The document of the photo; fails with words for people. */
	function send(blob, key, progress) {
		const body = new FormData(form);
		body.set("_key", key);
		body.set("photo", blob, "photo");
		return new Promise((done, failed) => {
			const request = new XMLHttpRequest();
			request.open("POST", form.action);
			request.setRequestHeader("Accept", "application/json");
			request.upload.addEventListener("progress", (event) => {
				if (event.lengthComputable) progress(event.loaded / event.total);
			});
			request.addEventListener("error", () => failed(new Error("The network is not there. The photo waits here.")));
			request.addEventListener("load", () => {
				let answer = {};
				try { answer = JSON.parse(request.responseText); } catch { /* not from the service: no words */ }
				if (request.status < 300 && answer.photo) done(answer.photo);
				else if (request.status === 401) failed(Object.assign(new Error("Your session has ended. Sign in again, then give it once more."), { lasts: true }));
				else failed(Object.assign(new Error(answer.errors?.[0]?.message ?? answer.detail ?? "The photo was not stored."), { lasts: [413, 422].includes(request.status) }));
			});
			request.send(body);
		});
	}

	function show(photo) {
		let list = form.parentElement.querySelector("ul.photos");
		if (!list) form.before(list = make("ul", { className: "photos" }));
		const image = make("img", { src: photo.small, alt: photo.alt, width: photo.width, height: photo.height });
		list.append(make("li", {}, make("a", { href: photo.url }, image)));
	}

	const input = form.querySelector("[type=file]"), waiting = make("ul", { className: "uploads" });
	const words = make("p", { className: "help" });
	words.setAttribute("role", "status");
	let running = 0, held = null, number = 0;

	/** A form that was sent meanwhile goes when all photos are there: its finding takes them. */
	function settle() {
		if (--running) return;
		const { target, submitter } = held ?? {};
		held = null;
		target?.requestSubmit(submitter);
	}
	addEventListener("submit", (event) => {
		if (!running || event.target === form || event.target.closest("header")) return;
		event.preventDefault();
		event.stopImmediatePropagation();
		held = { target: event.target, submitter: event.submitter };
		words.textContent = "A photo is still on its way. The form is sent when it has arrived.";
	}, true);
	// What was not stored is in this page only.
	addEventListener("beforeunload", (event) => { if (running || waiting.querySelector(".again")) event.preventDefault(); });

	async function take(file) {
		const name = `Photo ${++number}`, key = [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
		const bar = make("progress", { max: 1, value: 0 }), line = make("li", {}, `${name} `, bar);
		bar.setAttribute("aria-label", name);
		waiting.append(line);
		const blob = await smaller(file);
		const attempt = async () => {
			running++;
			line.replaceChildren(`${name} `, bar);
			try {
				show(await send(blob, key, (part) => { bar.value = part; }));
				line.remove();
				words.textContent = `${name} is stored.`;
			} catch (error) {
				words.textContent = held ? "The form was not sent, because of the photo." : "";
				held = null;
				const again = make("button", { type: "button", className: "quiet again", textContent: `Try ${name.toLowerCase()} again` });
				const drop = make("button", { type: "button", className: "quiet", textContent: "Leave it out" });
				again.addEventListener("click", attempt);
				drop.addEventListener("click", () => line.remove());
				line.replaceChildren(make("p", { className: "field-error", role: "alert", textContent: `${name}: ${error.message}` }), make("p", { className: "actions" }, ...(error.lasts ? [] : [again]), drop));
			}
			settle();
		};
		await attempt();
	}

	// One after the other: a weak network carries one at a time.
	let line = Promise.resolve();
	input.addEventListener("change", () => {
		for (const file of input.files) {
			running++;
			line = line.then(() => take(file)).then(settle);
		}
		input.value = "";
	});

	const buttons = make("p", { className: "actions" });
	const offer = (label, camera) => {
		const button = make("button", { type: "button", className: "quiet", textContent: label });
		button.addEventListener("click", () => {
			input.multiple = !camera;
			if (camera) input.setAttribute("capture", "environment");
			else input.removeAttribute("capture");
			input.click();
		});
		buttons.append(button);
	};
	if (matchMedia("(any-pointer: coarse)").matches) offer("Take a photo", true);
	offer("Choose photos", false);
	for (const native of form.querySelectorAll(".field, .actions")) native.hidden = true;
	form.append(buttons, waiting, words);
})();
