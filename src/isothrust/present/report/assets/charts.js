// What each chart shows. The specifications are those of `isothrust chart`.
const ALONE = " of one blade count"; // how a chart by blade count looks where there is one count: by design

function chartFigure(name, of = scope()) {
  const { measurand, quantity } = DATA.charts[name];
  return of.figures[`${measurand} at ${quantity}`];
}

const byBlades = (name) => DATA.charts[name].byBlades && bladeGroups().length > 1;
const specificationName = (name) => (DATA.charts[name]?.byBlades && !byBlades(name) ? name + ALONE : name);

function whyMissing(name) {
  const reason = scope().missing[DATA.charts[name].measurand.replaceAll("-", " ")];
  return reason ? `Not known here: ${reason}.` : "Not known here.";
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

function chartData(name, shown) {
  const x = grid(shown.quantity).values;
  const point = pointData(shown);
  if (byBlades(name)) return { ...bladeData(name), ends: [], point };
  const sets = { context: [], chosen: [], ends: [], point };
  scope().designs.forEach((design, number) => {
    const slot = slotOf(number);
    const rows = curveRows(shown, number, x, slot >= 0 ? { design, slot } : { design });
    sets[slot >= 0 ? "chosen" : "context"].push(...rows);
  });
  return sets;
}

const pointData = (shown) => [{ x: grid(shown.quantity).values[state.at[shown.quantity]] }];

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
