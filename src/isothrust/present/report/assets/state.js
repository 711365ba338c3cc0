// What the page knows and what is chosen. Figures are read, never computed: each was made by `isothrust compare`.
const parsed = (id) => JSON.parse(document.getElementById(id).textContent);
const DATA = parsed("data");
const SPECIFICATIONS = parsed("specifications");
const SLOTS = DATA.identities.length;

const state = {
  scope: 0, // place in DATA.scopes
  figure: "", // name in scope.figures
  at: { thrust: 0, speed: 0 }, // places in scope.grids
  chosen: [], // slot -> design's number in the scope, or null
};

const scope = () => DATA.scopes[state.scope];
const figure = () => scope().figures[state.figure];
const grid = (quantity) => scope().grids[quantity];
const place = (one = figure()) => (one.quantity ? state.at[one.quantity] : 0);
const ranks = () => figure().ranks[place()];
const slotOf = (design) => state.chosen.indexOf(design);

const listeners = [];
const whenChanged = (listener) => listeners.push(listener);
const changed = (what) => listeners.forEach((listener) => listener(what));

// The eight that are told apart at first: those that stand first where the page begins.
function chooseFirst() {
  const one = figure();
  const start = one.quantity ? grid(one.quantity).start : 0;
  const first = one.ranks[start].order.slice(0, SLOTS);
  state.chosen = Array.from({ length: SLOTS }, (_, slot) => first[slot] ?? null);
}

// The page begins with the class that has most to compare.
function largestScope() {
  const sizes = DATA.scopes.map((one) => one.designs.length);
  return sizes.indexOf(Math.max(...sizes));
}

function enterScope(number) {
  const before = state.figure;
  state.scope = number;
  for (const quantity of Object.keys(state.at)) state.at[quantity] = grid(quantity)?.start ?? 0;
  const names = Object.keys(scope().figures);
  state.figure = names.includes(before) ? before : names[0];
  chooseFirst();
}

// Give a design the first free slot; false where all are taken.
function choose(design) {
  const free = state.chosen.indexOf(null);
  if (free < 0) return false;
  state.chosen[free] = design;
  return true;
}

function leaveOut(design) {
  state.chosen[slotOf(design)] = null;
}
