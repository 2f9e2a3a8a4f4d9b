// A photo among what is kept: sent by itself, telling how far it is, and shown before it is sent.
"use strict";

const STALLED = 20000; // ms without any progress

export const isPhoto = (change) => change.kind === "photo";
/** What photos sent there are of: a part, a point of it, or a finding. */
export function subjectOf(path) {
	const [place, query] = path.split("?");
	return `${place} ${new URLSearchParams(query).get("point") ?? ""}`;
}
/** A finding takes the photos of its point that are there when it is written down. */
export const isFor = (photo, finding) => isPhoto(photo) && photo.id < finding.id && finding.kind === "finding"
	&& subjectOf(photo.path) === subjectOf(`${finding.path}/photos?point=${finding.fields.check_point}`);

/** Answers as fetch does, and fails as it does; tells "sending" events how far it is. */
export function postPhoto(change, token) {
	const body = new FormData(), request = new XMLHttpRequest();
	for (const [name, value] of [["_token", token], ["_key", change.key]]) body.set(name, value);
	body.set("photo", change.blob, "photo");
	return new Promise((done, failed) => {
		let timer;
		const wait = () => {
			clearTimeout(timer);
			timer = setTimeout(() => request.abort(), STALLED);
		};
		request.open("POST", change.path);
		request.setRequestHeader("Accept", "application/json");
		request.upload.addEventListener("progress", (event) => {
			wait();
			dispatchEvent(new CustomEvent("sending", { detail: { id: change.id, part: event.lengthComputable ? event.loaded / event.total : 0 } }));
		});
		for (const kind of ["error", "abort"]) request.addEventListener(kind, () => failed(new TypeError("The photo did not get through.")));
		request.addEventListener("load", () => done(new Response(request.responseText, { status: request.status })));
		request.addEventListener("loadend", () => clearTimeout(timer));
		wait();
		request.send(body);
	});
}

/** A small picture of it; nothing when the browser cannot read it. */
export async function miniature(blob, alt) {
	const picture = await createImageBitmap(blob, { imageOrientation: "from-image", resizeWidth: 160 }).catch(() => null);
	if (!picture) return [];
	const canvas = Object.assign(document.createElement("canvas"), { width: picture.width, height: picture.height });
	canvas.setAttribute("role", "img");
	canvas.setAttribute("aria-label", alt);
	canvas.getContext("2d").drawImage(picture, 0, 0);
	picture.close();
	return [canvas];
}
