// The ranking at the chosen point: places, figures, ties, and a strip that shows the intervals.
const FIRST_ROWS = 16;
let allRows = false;

function drawRanking() {
  const one = figure();
  const ranking = ranks();
  document.getElementById("said").textContent = one.said[place()] || "";
  document.getElementById("ranking-title").textContent = rankingTitle(one);
  const holder = document.getElementById("ranking-table");
  const shown = allRows ? ranking.order.length : Math.min(ranking.order.length, FIRST_ROWS);
  const frame = stripFrame(one, ranking);
  const rows = ranking.order.slice(0, shown).map((design, index) => rankRow(one, ranking, index, frame));
  const missing = allRows || shown === ranking.order.length ? absentRows(ranking) : [];
  holder.replaceChildren(make("table", {}, rankingHead(one, frame), make("tbody", {}, ...rows, ...missing)));
  if (shown < ranking.order.length) holder.append(moreButton(ranking.order.length));
  const notes = one.noted[place()].map((number) => make("li", {}, one.notes[number]));
  document.getElementById("ranking-notes").replaceChildren(...notes);
  document.getElementById("command").textContent = commandLine(one);
}

function rankingTitle(one) {
  const where = one.quantity ? ` ${grid(one.quantity).words[place()]}` : "";
  const way = { more: ", more is better", less: ", less is better" }[one.better] ?? ", greatest first";
  return `${one.title}${where}${way}`;
}

function rankingHead(one, frame) {
  const unit = one.unit ? ` [${one.unit}]` : "";
  const scale = make("div", { class: "scale" });
  if (frame) scale.append(make("span", {}, rough(frame.low)), make("span", {}, rough(frame.high)));
  return make(
    "thead",
    {},
    make(
      "tr",
      {},
      make("th", { scope: "col", class: "place" }, "place"),
      make("th", { scope: "col" }, "design"),
      make("th", { scope: "col", class: "value" }, `${one.words}${unit}`),
      make("th", { scope: "col", class: "apart" }, "from the first [%]"),
      make("th", { scope: "col", class: "tied" }, "tied with"),
      make("th", { scope: "col", class: "strip" }, `95 % interval ${DATA.statements[one.statement[place()]] ?? ""}`, scale),
    ),
  );
}

function rankRow(one, ranking, index, frame) {
  const design = ranking.order[index];
  const names = scope().designs;
  const tied = tiedWith(ranking, index);
  return make(
    "tr",
    { class: ranking.place[index] === 1 ? "tied-first" : null, "data-design": names[design] },
    make("td", { class: "place" }, String(ranking.place[index])),
    make("th", { scope: "row", class: "who" }, nameButton(design)),
    make("td", { class: "value", "data-unit": one.unit || null }, ranking.text[index]),
    make("td", { class: "apart" }, ranking.apart[index]),
    make("td", { class: "tied", title: tied.length > 3 ? tied.join(", ") : null, "data-tied": tied.join(", ") }, listed(tied)),
    make("td", { class: "strip" }, strip(one, design, ranking.order[0], frame)),
  );
}

// Names of the designs that one is tied with, in the order of rank.
function tiedWith(ranking, index) {
  return ranking.order.filter((design) => within(ranking.tied[index], design)).map((design) => scope().designs[design]);
}

function absentRows(ranking) {
  return Object.entries(ranking.absent).map(([design, reason]) =>
    make(
      "tr",
      { class: "absent" },
      make("td", { class: "place" }, "–"),
      make("th", { scope: "row", class: "who" }, nameButton(Number(design))),
      make("td", { colspan: 4, class: "reason" }, reason),
    ),
  );
}

// A click on a name tells the design apart in the charts, or no longer.
function nameButton(design) {
  const slot = slotOf(design);
  const name = scope().designs[design];
  const button = make(
    "button",
    { type: "button", class: "name", "aria-pressed": slot >= 0, title: slot >= 0 ? `${name}: told apart in the charts; click to leave out` : `${name}: click to tell it apart in the charts` },
    slot >= 0 ? identityMark(slot) : noMark(),
    make("span", {}, name),
  );
  button.addEventListener("click", () => toggleDesign(design));
  return button;
}

function stripFrame(one, ranking) {
  const at = place();
  const lows = ranking.order.map((design) => one.low[design][at] ?? one.value[design][at]);
  const highs = ranking.order.map((design) => one.high[design][at] ?? one.value[design][at]);
  const low = Math.min(...lows);
  const high = Math.max(...highs);
  if (!(high > low)) return null;
  return { low, high };
}

function strip(one, design, first, frame) {
  if (!frame) return null;
  const at = place();
  const x = (value) => `${(100 * (value - frame.low)) / (frame.high - frame.low)}%`;
  const value = one.value[design][at];
  const [low, high] = [one.low[design][at] ?? value, one.high[design][at] ?? value];
  const slot = slotOf(design);
  const colour = slot >= 0 ? `stroke:${DATA.identities[slot][themeName()]}` : null;
  const fill = slot >= 0 ? `fill:${DATA.identities[slot][themeName()]}` : null;
  const lead = one.value[first][at];
  return make(
    "svg",
    { class: "strip", "aria-hidden": "true" },
    make("line", { class: "first", x1: x(lead), x2: x(lead), y1: 0, y2: "100%" }),
    make("line", { class: "range", x1: x(low), x2: x(high), y1: "50%", y2: "50%", style: colour }),
    make("circle", { class: "dot", cx: x(value), cy: "50%", r: 4, style: fill }),
  );
}

// While a row is pointed at or in use, those that it is tied with are shaded.
function shadeTies(event) {
  const row = event.target.closest?.("#ranking-table tbody tr");
  const names = new Set(row?.querySelector(".tied")?.dataset.tied.split(", "));
  for (const one of document.querySelectorAll("#ranking-table tbody tr")) one.classList.toggle("with", names.has(one.dataset.design));
}

function moreButton(count) {
  const button = make("button", { type: "button", class: "quiet more" }, `Show all ${count}`);
  button.addEventListener("click", () => {
    allRows = true;
    drawRanking();
  });
  return button;
}

const typed = (text) => text.replace(/^at /, "").replace(/ /g, "");
const quoted = (text) => (/^[\w.-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`);

function commandLine(one) {
  const where = one.quantity ? ` --at ${one.quantity}=${typed(grid(one.quantity).words[place()])}` : "";
  return `isothrust compare --of ${one.measurand}${where} --campaign ${quoted(scope().campaign)}`;
}

function rankingCsv() {
  const one = figure();
  const ranking = ranks();
  const at = place();
  const head = ["place", "design", `${one.words} [${one.unit || "1"}]`, "95 % from", "95 % to", "from the first [%]", "tied with"];
  const rows = ranking.order.map((design, index) => [
    ranking.place[index],
    scope().designs[design],
    one.value[design][at],
    one.low[design][at],
    one.high[design][at],
    ranking.apart[index],
    tiedWith(ranking, index).join("; "),
  ]);
  const cell = (value) => (/[",;\n]/.test(String(value ?? "")) ? `"${String(value).replaceAll('"', '""')}"` : String(value ?? ""));
  return [[rankingTitle(one), scope().class, `campaign ${scope().campaign}`], head, ...rows].map((row) => row.map(cell).join(",")).join("\n");
}
