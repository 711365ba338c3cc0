// Charts, drawn when they come into sight. The specifications are those of `isothrust chart`.
const NAMES = Object.keys(DATA.charts);
const ALONE = " of one blade count"; // how a chart by blade count looks where there is one count: by design
const views = new Map(); // chart's name -> {view, holder, caption, stale, seen}

function buildCharts() {
  const holder = document.getElementById("charts");
  const watch = new IntersectionObserver((entries) => entries.forEach(seen), { rootMargin: "300px" });
  for (const name of NAMES) {
    const caption = make("figcaption", {});
    const box = make("div", { class: "view", role: "img" });
    const element = make("figure", { class: "chart", "data-chart": name }, caption, box);
    holder.append(element);
    views.set(name, { view: null, holder: box, caption, stale: true, seen: false });
    watch.observe(element);
  }
}

function seen(entry) {
  const one = views.get(entry.target.dataset.chart);
  one.seen = entry.isIntersecting;
  if (one.seen && one.stale) drawChart(entry.target.dataset.chart);
}

function chartFigure(name, of = scope()) {
  const { measurand, quantity } = DATA.charts[name];
  return of.figures[`${measurand} at ${quantity}`];
}

const byBlades = (name) => DATA.charts[name].byBlades && bladeGroups().length > 1;

function drawCharts(what) {
  for (const [name, one] of views) {
    one.stale = true;
    if (what === "theme" || what === "scope") closeView(one);
    if (one.seen) drawChart(name);
  }
  drawRestLater();
}

// Charts out of sight follow when the reader rests, so that they are right when they are reached, or printed.
const whenIdle = globalThis.requestIdleCallback ?? ((work) => setTimeout(work, 60));
let resting = 0;

function drawRestLater() {
  clearTimeout(resting);
  resting = setTimeout(() => whenIdle(drawRest), 600);
}

function drawRest() {
  const next = [...views].find(([, one]) => one.stale);
  if (!next) return;
  drawChart(next[0]);
  whenIdle(drawRest);
}

function closeView(one) {
  one.view?.then((view) => view.finalize());
  one.view = null;
}

function drawChart(name) {
  const one = views.get(name);
  const shown = chartFigure(name);
  one.stale = false;
  if (!shown) {
    closeView(one);
    const reason = scope().missing[DATA.charts[name].measurand.replaceAll("-", " ")];
    one.caption.replaceChildren(make("b", {}, DATA.charts[name].title));
    one.holder.replaceChildren(make("p", { class: "why" }, reason ? `Not known here: ${reason}.` : "Not known here."));
    return;
  }
  one.caption.replaceChildren(...chartCaption(name, shown));
  one.holder.setAttribute("aria-label", `${DATA.charts[name].title}; bands are 95 % intervals`);
  const sets = chartData(name, shown);
  if (one.view) one.view.then((view) => refill(view, sets));
  else one.view = openView(one.holder, name, sets);
}

function chartCaption(name, shown) {
  const { title, about } = DATA.charts[name];
  const words = [make("b", {}, title), make("span", { class: "faint about" }, about)];
  const kinds = [...new Set(shown.statement.filter((kind) => kind !== null))];
  const statement = kinds.length > 1 ? DATA.statements.length - 1 : kinds[0];
  if (statement > 0) words.push(make("span", { class: "faint about" }, `bands: 95 % intervals ${DATA.statements[statement]}`));
  if (!byBlades(name)) return words;
  const groups = bladeGroups().map((blades, slot) =>
    make("span", { class: "groups" }, identityMark(slot), blades === null ? "blades not stated" : `${blades} blades`),
  );
  return [...words, make("span", { class: "about" }, make("span", { class: "faint" }, "all classes of the campaign: "), ...groups)];
}

// A promise of a view with its first data.
function openView(holder, name, sets, height) {
  holder.replaceChildren();
  const plain = SPECIFICATIONS[themeName()][DATA.charts[name]?.byBlades && !byBlades(name) ? name + ALONE : name];
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

function chartData(name, shown) {
  const x = grid(shown.quantity).values;
  const point = [{ x: x[state.at[shown.quantity]] }];
  if (byBlades(name)) return { ...bladeData(name), ends: [], point };
  const sets = { context: [], chosen: [], ends: [], point };
  scope().designs.forEach((design, number) => {
    const slot = slotOf(number);
    const rows = curveRows(shown, number, x, slot >= 0 ? { design, slot } : { design });
    sets[slot >= 0 ? "chosen" : "context"].push(...rows);
  });
  return sets;
}

// A line's rows, from its first figure to its last; a gap between them stays one.
function curveRows(shown, number, x, told) {
  const values = shown.value[number];
  const first = values.findIndex((value) => value !== null);
  const last = values.findLastIndex((value) => value !== null);
  if (first < 0) return [];
  return x.slice(first, last + 1).map((at, index) => ({
    ...told,
    x: at,
    y: values[first + index],
    low: shown.low[number][first + index],
    high: shown.high[number][first + index],
  }));
}

const sameCampaign = () => DATA.scopes.filter((one) => one.campaign === scope().campaign);

function bladeGroups() {
  const counts = sameCampaign().flatMap((one) => one.blades);
  return [...new Set(counts)].sort((a, b) => (a ?? 99) - (b ?? 99)).slice(0, SLOTS);
}

function bladeData(name) {
  const groups = bladeGroups();
  const sets = { context: [], chosen: [] };
  for (const one of sameCampaign()) {
    const shown = chartFigure(name, one);
    if (!shown) continue;
    const x = one.grids[shown.quantity].values;
    one.designs.forEach((design, number) => {
      const slot = groups.indexOf(one.blades[number]);
      const own = one === scope() && slotOf(number) >= 0;
      sets[own ? "chosen" : "context"].push(...curveRows(shown, number, x, { design, slot }));
    });
  }
  return sets;
}

// What the pointer is near is told beside it.
function showTip(_, event, __, value) {
  const tip = document.getElementById("tip");
  if (value == null || value === "" || !event) {
    tip.hidden = true;
    return;
  }
  const rows = typeof value === "object" ? Object.entries(value) : [["", value]];
  const cells = rows.map(([name, text]) => make("tr", {}, make("th", { scope: "row" }, name), make("td", {}, String(text))));
  tip.replaceChildren(make("table", {}, make("tbody", {}, ...cells)));
  tip.hidden = false;
  const box = tip.getBoundingClientRect();
  const left = Math.min(event.clientX + 14, innerWidth - box.width - 8);
  const top = event.clientY + 14 + box.height > innerHeight ? event.clientY - box.height - 10 : event.clientY + 14;
  tip.style.left = `${Math.max(left, 4)}px`;
  tip.style.top = `${Math.max(top, 4)}px`;
}
