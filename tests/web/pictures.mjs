// Pictures for tests: made and looked at by the browser, so by another's code, with what cameras
// write into them put in by hand.
import { PNG } from "pngjs";
import { browser } from "./harness.mjs";

/** Four quarters of different colours, as the eye reads them. */
export const quarters = [[200, 30, 30], [30, 160, 40], [40, 60, 200], [240, 240, 240]];

/** The quarters as a PNG, without a browser. */
export function plainPng(width = 160, height = 120) {
	const png = new PNG({ width, height });
	for (let y = 0, at = 0; y < height; y++)
		for (let x = 0; x < width; x++, at += 4) png.data.set([...quarters[(2 * x >= width) + 2 * (2 * y >= height)], 255], at);
	return PNG.sync.write(png);
}

export class Pictures {
	static async open() {
		const one = new Pictures(), chrome = await browser();
		one.page = await chrome.newPage();
		return one;
	}
	/** The quarters; noise makes it large. */
	async make(type, width, height, { noise = false, quality = 0.92 } = {}) {
		const base64 = await this.page.evaluate(async ([type, width, height, quarters, noise, quality]) => {
			const canvas = Object.assign(document.createElement("canvas"), { width, height }), paper = canvas.getContext("2d");
			quarters.forEach((colour, i) => {
				paper.fillStyle = `rgb(${colour})`;
				paper.fillRect((i % 2) * width / 2, (i >> 1) * height / 2, width / 2, height / 2);
			});
			if (noise) {
				const drawn = paper.getImageData(0, 0, width, height);
				for (let i = 0, x = 1; i < drawn.data.length; i++) if (i % 4 < 3) drawn.data[i] = (x = (x * 1103515245 + 12345) & 0x7fffffff) >> 16;
				paper.putImageData(drawn, 0, 0);
			}
			const blob = await new Promise((done) => canvas.toBlob(done, type, quality));
			const url = await new Promise((done) => { const reader = new FileReader(); reader.onload = () => done(reader.result); reader.readAsDataURL(blob); });
			return url.split(",")[1];
		}, [type, width, height, quarters, noise, quality]);
		return Buffer.from(base64, "base64");
	}
	/** Its size, and the colours in the middle of its quarters. */
	async look(bytes) {
		return this.page.evaluate(async ([base64]) => {
			const blob = new Blob([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))]);
			const picture = await createImageBitmap(blob, { imageOrientation: "none" }), { width, height } = picture;
			const paper = Object.assign(document.createElement("canvas"), { width, height }).getContext("2d");
			paper.drawImage(picture, 0, 0);
			const at = (x, y) => [...paper.getImageData(Math.floor(width * x), Math.floor(height * y), 1, 1).data.slice(0, 3)];
			return { width, height, quarters: [at(.25, .25), at(.75, .25), at(.25, .75), at(.75, .75)] };
		}, [bytes.toString("base64")]);
	}
}

/** Which quarter each colour is nearest to. */
export const nearest = (colours) => colours.map((colour) => {
	const far = quarters.map((one) => one.reduce((sum, value, i) => sum + (value - colour[i]) ** 2, 0));
	return far.indexOf(Math.min(...far));
});

/** Exif's TIFF with an orientation, a camera's name and a position (47 deg N, 8 deg E). */
export function exif(orientation, little = false) {
	const bytes = Buffer.alloc(200), put16 = (at, n) => little ? bytes.writeUInt16LE(n, at) : bytes.writeUInt16BE(n, at), put32 = (at, n) => little ? bytes.writeUInt32LE(n, at) : bytes.writeUInt32BE(n, at);
	const entry = (at, tag, type, count, value, short) => { put16(at, tag); put16(at + 2, type); put32(at + 4, count); short ? put16(at + 8, value) : put32(at + 8, value); };
	bytes.write(little ? "II" : "MM");
	put16(2, 42);
	put32(4, 8);
	put16(8, 3);
	entry(10, 0x0110, 2, 14, 120); // the camera
	bytes.write("PEEPING-CAMERA", 120);
	entry(22, 0x0112, 3, 1, orientation, true);
	entry(34, 0x8825, 4, 1, 50); // where the position stands
	put16(50, 2);
	entry(52, 1, 2, 2, 0);
	bytes.write("N\0", 60);
	entry(64, 2, 5, 3, 140);
	[47, 1, 22, 1, 30, 1].forEach((n, i) => put32(140 + 4 * i, n));
	return bytes;
}
const segment = (marker, ...parts) => {
	const content = Buffer.concat(parts.map((part) => Buffer.from(part))), head = Buffer.alloc(4);
	head.writeUInt16BE(0xff00 | marker, 0);
	head.writeUInt16BE(content.length + 2, 2);
	return Buffer.concat([head, content]);
};
/** A JPEG as a phone writes it: Exif, XMP, a comment, a profile, and something behind its end. */
export const asPhoned = (jpeg, orientation, little) => Buffer.concat([jpeg.subarray(0, 2), segment(0xe1, "Exif\0\0", exif(orientation, little)),
	segment(0xe1, "http://ns.adobe.com/xap/1.0/\0", "<x:xmpmeta>PEEPING-XMP</x:xmpmeta>"), segment(0xe2, "ICC_PROFILE\0\x01\x01", "PEEPING-PROFILE"),
	segment(0xfe, "PEEPING-COMMENT"), jpeg.subarray(2), Buffer.from("PEEPING-BEHIND<script>")]);

const crcTable = Array.from({ length: 256 }, (_, n) => { for (let k = 0; k < 8; k++) n = n & 1 ? 0xedb88320 ^ (n >>> 1) : n >>> 1; return n >>> 0; });
const crc = (bytes) => (bytes.reduce((sum, byte) => crcTable[(sum ^ byte) & 255] ^ (sum >>> 8), 0xffffffff) ^ 0xffffffff) >>> 0;
const pngChunk = (name, content) => {
	const body = Buffer.concat([Buffer.from(name), content]), head = Buffer.alloc(4), tail = Buffer.alloc(4);
	head.writeUInt32BE(content.length);
	tail.writeUInt32BE(crc(body));
	return Buffer.concat([head, body, tail]);
};
/** A PNG with text and Exif in it. */
export const pngWith = (png, orientation) => Buffer.concat([png.subarray(0, 33), pngChunk("tEXt", Buffer.from("Comment\0PEEPING-COMMENT")),
	pngChunk("eXIf", exif(orientation)), png.subarray(33)]);
/** The same PNG that claims another size. */
export const pngOfSize = (png, width, height) => {
	const head = Buffer.from(png.subarray(16, 29));
	head.writeUInt32BE(width, 0);
	head.writeUInt32BE(height, 4);
	return Buffer.concat([png.subarray(0, 8), pngChunk("IHDR", head), png.subarray(33)]);
};
/** A WebP of the simple form as an extended one, with Exif at its end. */
export function webpWith(webp, orientation, width, height) {
	const extended = Buffer.alloc(18), exifBytes = exif(orientation, true), tail = Buffer.alloc(8);
	extended.write("VP8X");
	extended.writeUInt32LE(10, 4);
	extended.writeUInt8(8, 8);
	extended.writeUIntLE(width - 1, 12, 3);
	extended.writeUIntLE(height - 1, 15, 3);
	tail.write("EXIF");
	tail.writeUInt32LE(exifBytes.length, 4);
	const content = webp.subarray(12, 16).toString() === "VP8X" ? webp.subarray(30) : webp.subarray(12);
	const all = Buffer.concat([webp.subarray(0, 12), extended, content, tail, exifBytes]);
	all.writeUInt32LE(all.length - 8, 4);
	return all;
}

/** The markers of a JPEG's segments, and its bytes behind the end of the picture. */
export function segments(jpeg) {
	const markers = [];
	let at = 2;
	for (;;) {
		const marker = jpeg[at + 1];
		markers.push(marker);
		if (jpeg[at] !== 0xff) throw new Error("no segment");
		at += 2 + jpeg.readUInt16BE(at + 2);
		if (marker === 0xda) return { markers, behind: jpeg.length - 2 - jpeg.lastIndexOf(Buffer.from([0xff, 0xd9])) };
	}
}
