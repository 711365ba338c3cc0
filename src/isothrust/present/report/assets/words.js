// Elements and small drawings.
const DRAWING = document.getElementById("drawing").namespaceURI;

function make(tag, attributes = {}, ...children) {
  const svg = ["svg", "line", "path", "circle"].includes(tag);
  const element = svg ? document.createElementNS(DRAWING, tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) if (value != null) element.setAttribute(name, value);
  element.append(...children.filter((child) => child != null));
  return element;
}

const dark = () => {
  const forced = document.documentElement.dataset.theme;
  return forced ? forced === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
};
const themeName = () => (dark() ? "dark" : "light");

// The look of one of the eight: a piece of its line with its marker.
function identityMark(slot) {
  const one = DATA.identities[slot];
  const colour = one[themeName()];
  const box = make("svg", { class: "identity", viewBox: "0 0 42 16", "aria-hidden": "true" });
  box.append(
    make("line", { x1: 1, x2: 41, y1: 8, y2: 8, stroke: colour, "stroke-width": 2.2, "stroke-dasharray": one.dash.join(" ") || null }),
    one.shape === "circle"
      ? make("circle", { cx: 21, cy: 8, r: 4.4, fill: colour })
      : make("path", { d: one.shape, fill: colour, transform: "translate(21 8) scale(4)" }),
  );
  return box;
}

const noMark = () => make("svg", { class: "identity", viewBox: "0 0 42 16", "aria-hidden": "true" });

// Is a design in a set of bits? The first design has the lowest bit.
const within = (bits, design) => ((BigInt(`0x${bits || 0}`) >> BigInt(design)) & 1n) === 1n;

// Up to three names, or two and how many more.
function listed(names) {
  if (names.length <= 3) return names.join(", ");
  return `${names.slice(0, 2).join(", ")} and ${names.length - 2} more`;
}

const rough = (value) => {
  const digits = Math.abs(value) >= 1000 ? 4 : 3;
  return String(Number(value.toPrecision(digits)));
};
