// Comfort only: the list beside the drawing says the same places.
"use strict";

for (const figure of document.querySelectorAll(".figure.asks")) {
	const form = figure.closest("form");
	const { zone, face, side } = form.elements;
	const shapes = [...figure.querySelectorAll("use:not(.lines, .mark)")];
	const before = form.querySelector(".before");
	const asked = [[face, "faces"], [side, "sides"]].filter(([input]) => input);
	const pick = (input, value) => {
		if (input instanceof RadioNodeList) for (const one of input) one.checked = one.value === value;
		else if (input) input.value = value;
	};
	/** As the ids in the drawing say it (rules/figure.h): a shape is VIEW.ZONE or VIEW.ZONE.FACE, the lines are VIEW.SIDE. */
	const idOf = (use) => use.getAttribute("href").split("#")[1].split(".");
	const placeOf = (shape) => {
		const [view, zone, face = view] = idOf(shape), [, side = ""] = idOf(shape.ownerSVGElement.querySelector(".lines"));
		return { zone, face, side };
	};
	const mayBe = (chosen, drawn) => !chosen || !drawn || chosen === drawn;

	/** The drawing, the questions and what is on record follow what is chosen. */
	const show = () => {
		const option = zone.selectedOptions[0];
		for (const [input, word] of asked) {
			const isAsked = !zone.value || word in option.dataset;
			if (!isAsked) pick(input, "");
			input[0].closest(".field").hidden = !isAsked;
		}
		for (const shape of shapes) {
			const drawn = placeOf(shape);
			shape.classList.toggle("chosen", drawn.zone === zone.value && mayBe(face?.value, drawn.face) && mayBe(side?.value, drawn.side));
		}
		if (!before) return;
		const places = [...before.querySelectorAll(".places > li")];
		for (const place of places) place.hidden = zone.value !== "" && place.dataset.zone !== zone.value;
		before.querySelector(".empty").hidden = places.some((place) => !place.hidden);
	};

	figure.addEventListener("click", (event) => {
		const shape = event.target.closest("use");
		if (!shape) return;
		const drawn = placeOf(shape);
		zone.value = drawn.zone;
		pick(face, drawn.face); // what is not asked of that zone, show clears
		pick(side, drawn.side);
		zone.dispatchEvent(new Event("input", { bubbles: true })); // so that the draft is kept
	});
	form.addEventListener("input", show);
	addEventListener("pageshow", show); // the browser may have put back what was chosen
	show();
}
