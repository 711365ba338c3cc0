// Which propellers are told apart: eight at most, the rest is context.
function drawChooser() {
  const names = scope().designs;
  const chosen = state.chosen.filter((design) => design !== null);
  const rest = names.length - chosen.length;
  document.getElementById("chooser-words").textContent = rest
    ? `${chosen.length} of ${names.length} told apart, the others thin and grey:`
    : names.length > 1
      ? "Told apart in every chart:"
      : "The only design of this class:";
  const chips = state.chosen.flatMap((design, slot) => (design === null ? [] : [chip(design, slot)]));
  document.getElementById("chips").replaceChildren(...chips);
  const add = document.getElementById("add");
  const others = names.map((name, design) => [name, design]).filter(([, design]) => slotOf(design) < 0);
  add.replaceChildren(
    make("option", { value: "" }, "a propeller…"),
    ...others.map(([name, design]) => make("option", { value: design }, name)),
  );
  add.parentElement.hidden = others.length === 0;
}

function chip(design, slot) {
  const name = scope().designs[design];
  const button = make("button", { type: "button", class: "chip", "aria-label": `Leave ${name} out`, "data-slot": slot }, identityMark(slot), name);
  button.addEventListener("click", () => toggleDesign(design));
  return button;
}

function toggleDesign(design) {
  const note = document.getElementById("chooser-note");
  note.textContent = "";
  if (slotOf(design) >= 0) leaveOut(design);
  else if (!choose(design)) {
    note.textContent = `Nobody tells more than ${SLOTS} lines apart: leave one out first, then add ${scope().designs[design]}.`;
    note.scrollIntoView({ block: "nearest" });
    return;
  }
  changed("chosen");
}

// Figures that nobody here has, by the reason.
function drawMissing() {
  const reasons = new Map();
  for (const [words, reason] of Object.entries(scope().missing)) reasons.set(reason, [...(reasons.get(reason) ?? []), words]);
  const told = [...reasons].map(([reason, words]) => make("li", {}, make("b", {}, words.join(", ")), `: ${reason}`));
  document.getElementById("missing").replaceChildren(...told);
  document.getElementById("missing-part").hidden = told.length === 0;
}
