// When charts are drawn: one after another, those in sight first, the others when the reader rests, so that they are right
// when they are reached, or printed. Between two of them the page answers its reader.
const FRESH = 0;
const MOVED = 1; // the comparison point alone is another
const STALE = 2;
const REST = 500; // milliseconds
const views = new Map(); // chart's name -> {view, holder, caption, state, seen}
let drawing = false;
let rested = false;
let resting = 0; // timer

function buildCharts() {
  const holder = document.getElementById("charts");
  const watch = new IntersectionObserver((entries) => entries.forEach(noteSight), { rootMargin: "200px" });
  for (const name of Object.keys(DATA.charts)) {
    const caption = make("figcaption", {});
    const box = make("div", { class: "view", role: "img" });
    const element = make("figure", { class: "chart", "data-chart": name }, caption, box);
    holder.append(element);
    views.set(name, { view: null, holder: box, caption, state: STALE, seen: false });
    watch.observe(element);
  }
}

function noteSight(entry) {
  views.get(entry.target.dataset.chart).seen = entry.isIntersecting;
  drawInTurn();
}

function drawCharts(what) {
  for (const one of views.values()) {
    one.state = Math.max(one.state, what === "point" ? MOVED : STALE);
    if (what === "theme" || what === "scope") closeView(one);
  }
  rested = false;
  clearTimeout(resting);
  resting = setTimeout(drawRest, REST);
  drawInTurn();
}

function drawRest() {
  rested = true;
  drawInTurn();
}

async function drawInTurn() {
  if (drawing) return;
  drawing = true;
  const next = () => [...views].find(([, one]) => one.state !== FRESH && (rested || one.seen));
  try {
    for (let found = next(); found; found = next()) {
      await drawChart(...found);
      await new Promise((goOn) => setTimeout(goOn));
    }
  } finally {
    drawing = false;
  }
}

function closeView(one) {
  one.view?.then((view) => view.finalize());
  one.view = null;
}

async function drawChart(name, one) {
  const shown = chartFigure(name);
  const { state } = one;
  one.state = FRESH;
  if (!shown) {
    closeView(one);
    one.caption.replaceChildren(make("b", {}, DATA.charts[name].title));
    one.holder.replaceChildren(make("p", { class: "why" }, whyMissing(name)));
    return;
  }
  if (state === MOVED && one.view) return refill(await one.view, { point: pointData(shown) });
  one.caption.replaceChildren(...chartCaption(name, shown));
  one.holder.setAttribute("aria-label", `${DATA.charts[name].title}; bands are 95 % intervals`);
  const sets = chartData(name, shown);
  if (one.view) return refill(await one.view, sets);
  one.view = openView(one.holder, name, sets);
  return one.view;
}

// A promise of a view with its first data.
function openView(holder, name, sets, height) {
  holder.replaceChildren();
  const plain = SPECIFICATIONS[themeName()][specificationName(name)];
  const data = plain.data.map((set) => (set.name in sets ? { ...set, values: sets[set.name] } : set));
  const specification = { ...plain, data, height: height ?? plain.height };
  const options = { mode: "vega", renderer: "svg", actions: false, defaultStyle: false, logLevel: 1, tooltip: showTip };
  return embedChart(holder, specification, options).then((embedded) => embedded.view);
}

function refill(view, sets) {
  const known = view.getState({ data: () => true, signals: () => false, recurse: false }).data;
  for (const [name, rows] of Object.entries(sets)) if (name in known) view.data(name, rows);
  return view.runAsync();
}
