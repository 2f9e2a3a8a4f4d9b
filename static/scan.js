// Reads a code with the camera where the browser can. Comfort only: typing always works.
"use strict";

(async () => {
	const form = document.querySelector("form.scan");
	if (!form || !("BarcodeDetector" in globalThis) || !navigator.mediaDevices?.getUserMedia) return;
	const known = await BarcodeDetector.getSupportedFormats();
	const formats = ["qr_code", "code_128", "code_39", "itf", "ean_13"].filter((format) => known.includes(format));
	if (!formats.length) return;

	const detector = new BarcodeDetector({ formats });
	const make = (name, properties) => Object.assign(document.createElement(name), properties);
	const button = make("button", { type: "button", className: "quiet", textContent: "Scan with the camera" });
	const video = make("video", { muted: true, playsInline: true, hidden: true });
	const words = make("p", { className: "help" });
	video.setAttribute("aria-label", "Picture of the camera");
	words.setAttribute("role", "status");
	form.querySelector(".actions").append(button);
	form.append(video, words);

	let stream = null;
	function stop(why = "") {
		for (const track of stream?.getTracks() ?? []) track.stop();
		stream = video.srcObject = null;
		video.hidden = true;
		button.textContent = "Scan with the camera";
		words.textContent = why;
	}

	const troubles = {
		NotAllowedError: "The camera is not allowed here. Allow it in the browser's settings for this page, or type the tag.",
		NotFoundError: "There is no camera on this device. Type the tag.",
		NotReadableError: "The camera cannot be used: another program may have it. Close that and try again, or type the tag.",
	};

	/** Looks at one picture after another until there is a code in one, or somebody stops it. */
	async function look(own) {
		while (stream === own) {
			const [code] = await detector.detect(video);
			if (stream !== own) return;
			if (code?.rawValue.trim()) {
				stop(`Read: ${code.rawValue.trim()}`);
				form.elements.q.value = code.rawValue.trim();
				form.requestSubmit();
				return;
			}
			await new Promise(requestAnimationFrame);
		}
	}

	async function start() {
		let own = null;
		button.disabled = true;
		words.textContent = "Waiting for the camera.";
		try {
			own = stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
			video.srcObject = own;
			video.hidden = false;
			button.textContent = "Stop the camera";
			words.textContent = "Hold the code before the camera.";
			button.disabled = false;
			await video.play();
			await look(own);
		} catch (error) {
			// What was stopped meanwhile has no picture any more: no trouble.
			if (stream === own) stop(troubles[error.name] ?? `The camera does not work (${error.message}). Type the tag.`);
		}
		button.disabled = false;
	}

	button.addEventListener("click", () => stream ? stop() : start());
	addEventListener("pagehide", () => stop());
	document.addEventListener("visibilitychange", () => { if (document.hidden && stream) stop(); });
})();
