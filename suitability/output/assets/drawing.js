// What the charts of every page share: a phone, the width of paper, dates, today, and colours on a dark screen.
const chartKinds = {};  // by name: what is particular to a kind of chart
const drawing = (function () {
  const palette = @DARK@;
  const narrow = 640;
  const usualHeight = 450;
  const days = 365;
  const paper = 690;  // px: what A4 and Letter leave between margins of 12 mm, at 96 px an inch
  const clear = "rgba(0,0,0,0)";
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const drawn = new Set();
  let printing = false;

  // The page's data, once the plotting script is there: the page's policy knows that by the hash of its text, so
  // that no other one would run in its place. Parts of the data that repeat stand once, in page.parts; keys beside
  // a reference are added to its part.
  function load() {
    const plotting = document.createElement("script");
    plotting.textContent = unpack(document.getElementById("plotting").textContent);
    document.head.append(plotting);
    const figures = document.getElementById("figures");
    const page = JSON.parse(figures.type === "application/json" ? figures.textContent : unpack(figures.textContent));
    page.opened = function (value) {
      if (Array.isArray(value)) { return value.map(page.opened); }
      if (value === null || typeof value !== "object") { return value; }
      const copy = "$" in value ? page.opened(page.parts[value.$]) : {};
      if (Array.isArray(copy)) { return copy; }
      for (const key of Object.keys(value)) {
        if (key !== "$") { copy[key] = page.opened(value[key]); }
      }
      return copy;
    };
    return page;
  }

  // Scales from none to much, and white text on filled bars, stay as they are.
  function themed(value, key) {
    if (key === "colorscale") { return value; }
    if (typeof value === "string") { return palette[value] || value; }
    if (Array.isArray(value)) { return value.map((one) => themed(one, key)); }
    if (value !== null && typeof value === "object") {
      for (const name of Object.keys(value)) {
        if (name === "insidetextfont" && value[name].color === "#ffffff") { continue; }
        value[name] = themed(value[name], name);
      }
    }
    return value;
  }

  // On a phone, names of groups and spots stand in two lines.
  function rowsOnPhone(figure) {
    const axis = figure.layout.yaxis;
    if (axis.type === "category" && axis.categoryarray) {
      axis.tickvals = axis.categoryarray;
      axis.ticktext = axis.categoryarray.map((label) => label.replace(", ", ",<br>"));
      axis.tickfont = { size: 10 };
      const row = (figure.layout.meta || {}).phone;
      if (row) { figure.layout.height = row * axis.categoryarray.length + 100; }
    }
  }

  // Pixels of a day and of a row of a chart of days, its names taken as wide as their letters usually are.
  function scaleOf(figure, width) {
    const { margin, height, yaxis } = figure.layout;
    const rows = yaxis.categoryarray || [];
    const letter = width < narrow ? 5.7 : 7.3;
    const names = (yaxis.ticktext || rows).flatMap((name) => String(name).split("<br>"));
    const beside = rows.length ? letter * Math.max(...names.map((name) => name.length)) + 12 : 0;
    const span = yaxis.range ? Math.abs(yaxis.range[1] - yaxis.range[0]) : 1;
    return {
      day: Math.max(width - margin.l - margin.r - beside, 100) / days,
      row: (height - margin.t - margin.b) / (rows.length || span),
    };
  }

  const longest = (text) => Math.max(...text.split("<br>").map((line) => line.length));

  // Of the words for a bar the longest that fits into it.
  function fitTexts(figure, width, scale) {
    for (const trace of figure.data) {
      if (trace.type !== "bar" || !trace.base || !trace.customdata) { continue; }
      const high = scale.row * (trace.width || 1);
      const size = Math.min(width < narrow ? 9 : 12, Math.floor(high * 0.8));
      const fits = (text, at, size) => longest(text) * size * 0.55 + 2 < trace.x[at] * scale.day
        && text.split("<br>").length * size * 1.25 <= high;
      trace.text = [];
      trace.insidetextfont.size = trace.customdata.map(function (texts, at) {
        const small = texts.length && !texts.some((text) => fits(text, at, size)) ? Math.min(size, 9) : size;
        trace.text.push(texts.find((text) => fits(text, at, small)) || "");
        return small;
      });
    }
  }

  // Dates on their bar where they fit, else beside it where there is room; else none, for they would hide the bar.
  function placeDates(figure, width, scale) {
    const size = Math.min(width < narrow ? 10 : 11, Math.floor(scale.row * 0.6));
    for (const bar of (figure.layout.meta || {}).dates || []) {
      const [first, long] = bar.outer;
      const needed = (text) => (text.length * size * 0.58 + 8) / scale.day;
      const within = { x: bar.start + bar.days / 2, xanchor: "center", xshift: 0 };
      const places = [
        [(text) => needed(text) <= bar.days, within],
        [(text) => first + long + needed(text) <= days, { x: first + long, xanchor: "left", xshift: 3 }],
        [(text) => needed(text) <= first, { x: first, xanchor: "right", xshift: -3 }],
      ];
      const found = places.find(([fits]) => bar.texts.some(fits));
      if (!found) { continue; }
      const [fits, place] = found;
      figure.layout.annotations.push({
        ...place, y: bar.row, text: bar.texts.find(fits), showarrow: false, bgcolor: "@GROUND@", borderpad: 1,
        font: { size, color: "@INK@" },
      });
    }
  }

  // A line on the reader's own day, 29 February as the 28th; `first` is the day of the first column, `above` how
  // many pixels above the plot its word stands, else it stands below.
  function addToday(figure, first, above) {
    const now = new Date();
    const day = Math.round((Date.UTC(2001, now.getMonth(), Math.min(now.getDate(), now.getMonth() === 1 ? 28 : 31))
      - Date.UTC(2001, 0, 1)) / 86400000);
    const x = (day - first + days) % days + 0.5;
    const layout = figure.layout;
    layout.shapes = [...(layout.shapes || []), {
      name: "today", type: "line", x0: x, x1: x, y0: 0, y1: 1, yref: "paper", layer: "above",
      line: { color: "#9c1f14", width: 2 },
    }];
    layout.annotations = [...(layout.annotations || []), {
      name: "today", x, yref: "paper", text: "today", showarrow: false,
      ...above ? { y: 1, yanchor: "bottom", yshift: above } : { y: 0, yanchor: "top" },
      xanchor: x < 15 ? "left" : x > 350 ? "right" : "center", font: { size: 12, color: "#9c1f14" },
    }];
  }

  // On paper a chart of many rows is lower.
  function rowsOnPaper(figure) {
    const axis = figure.layout.yaxis;
    const rows = (axis.categoryarray || []).length;
    if (!rows || figure.layout.barmode === "group") { return; }
    for (const trace of figure.data) {
      if (trace.meta === "short") { trace.text = trace.customdata; }
    }
    const row = rows > 60 ? 11 : rows > 12 ? 20 : 30;  // a sheet has 1030
    const { margin } = figure.layout;
    figure.layout.height = Math.min(figure.layout.height, margin.t + margin.b + rows * row);
    Object.assign(axis, { tickvals: axis.categoryarray, tickfont: { size: rows > 60 ? 8 : 10 } });
  }

  // Each box as corners, in days and rows; a hatch as lines through it, in steps of so many pixels.
  function hatched(boxes, shape, scale, step) {
    const lines = [];
    for (const [left, right, top, bottom] of boxes) {
      const rise = (bottom - top) * scale.row / scale.day;  // days as wide as the box is high
      const pace = step / scale.day;
      if (shape === ".") {
        const count = Math.max(1, Math.floor((bottom - top) * scale.row / step));
        for (let line = 0; line < count; line += 1) {
          const y = top + (line + 0.5) * (bottom - top) / count;
          for (let x = left + pace / 2; x < right; x += pace) { lines.push([x, y, Math.min(x + 1.3 / scale.day, right), y]); }
        }
        continue;
      }
      for (const way of shape === "x" ? ["/", "\\"] : [shape]) {
        for (let x = left - rise + pace / 2; x < right; x += pace) {
          const from = Math.max(x, left), to = Math.min(x + rise, right);
          const height = (at) => (at - x) / rise * (bottom - top);
          const y = way === "/" ? (at) => bottom - height(at) : (at) => top + height(at);
          lines.push([from, y(from), to, y(to)]);
        }
      }
    }
    return lines.map((one) => one.map((number) => number.toFixed(2)))
      .map(([x0, y0, x1, y1]) => "M" + x0 + "," + y0 + "L" + x1 + "," + y1).join("");
  }

  // A browser prints fine patterns as megabytes of pictures; as lines they take little.
  function forPaper(figure, scale) {
    const layout = figure.layout;
    const rows = layout.yaxis.categoryarray || [];
    layout.shapes = layout.shapes || [];
    for (const trace of figure.data) {
      if (trace.type !== "bar" || !trace.base || !trace.marker.pattern) { continue; }
      const high = trace.width || 1 - (layout.bargap || 0);
      const boxes = trace.base.map(function (start, at) {
        const row = typeof trace.y[at] === "number" ? trace.y[at] : Math.max(0, rows.indexOf(trace.y[at]));
        const top = row + (trace.offset === undefined ? -high / 2 : trace.offset);
        return [start, start + trace.x[at], top, top + high];
      });
      const { shape, fgcolor, bgcolor } = trace.marker.pattern;
      layout.shapes.push({
        type: "path", layer: "between", fillcolor: bgcolor, line: { width: 0 },
        path: boxes.map(([x0, x1, y0, y1]) => "M" + x0 + "," + y0 + "H" + x1 + "V" + y1 + "H" + x0 + "Z").join(""),
      });
      const lines = shape ? hatched(boxes, shape, scale, 6) : "";
      if (lines) {
        layout.shapes.push({ type: "path", layer: "between", path: lines, line: { color: fgcolor, width: shape === "." ? 1.3 : 0.8 } });
      }
      trace.marker.color = clear;
      delete trace.marker.pattern;
    }
  }

  // What hangs on the width: dates, today, and how paper takes hatches.
  function finished(figure, width) {
    const meta = figure.layout.meta || {};
    if (printing) { rowsOnPaper(figure); }
    const scale = scaleOf(figure, width);
    fitTexts(figure, width, scale);
    placeDates(figure, width, scale);
    if (meta.today !== undefined && !printing) { addToday(figure, meta.today, meta.above); }
    if (printing) { forPaper(figure, scale); }
    return figure;
  }

  // Widths are read before the first chart is drawn, and given to the plotting script: after each
  // chart, asking for one lays out the whole page anew. Returns what cannot be drawn, since it is folded.
  function drawAll(places, figureOf) {
    const widths = places.map((place) => printing ? paper : place.clientWidth);
    const open = places.filter((_, at) => widths[at] > 0);
    const figures = open.map(function (place) {
      const width = widths[places.indexOf(place)];
      const figure = figureOf(place, width);
      figure.layout.width = width;
      figure.layout.height = figure.layout.height || usualHeight;
      finished(figure, width);
      place.style.minHeight = "0";
      place.style.height = figure.layout.height + "px";  // what is outside need not be laid out anew
      return !printing && dark.matches ? themed(figure, "") : figure;
    });
    open.forEach(function (place, at) {
      Plotly.react(place, figures[at].data, figures[at].layout, { displayModeBar: false });
      drawn.add(place);
    });
    return places.filter((_, at) => widths[at] === 0);
  }

  return {
    load,
    narrow,
    rowsOnPhone,
    printing: () => printing,
    // Draws each chart when it comes near the window, for a page may hold more than a hundred, and
    // again when the window changes; `figureOf` makes its figure, and `printed` says which stand on paper.
    follow(charts, figureOf, printed) {
      const places = charts.map((chart) => document.getElementById(chart.id));
      const near = new IntersectionObserver(function (told) {
        const seen = told.filter((one) => one.isIntersecting).map((one) => one.target);
        for (const place of seen) { near.unobserve(place); }
        drawAll(seen, figureOf);
      }, { rootMargin: "600px 0px" });
      for (const place of places) { near.observe(place); }
      function again() {
        for (const place of drawAll([...drawn], figureOf)) {
          drawn.delete(place);
          near.observe(place);
        }
      }
      let waiting = null;
      window.addEventListener("resize", function () {
        clearTimeout(waiting);
        waiting = setTimeout(function () {
          const changed = (place) => place.clientWidth > 0 && place.layout.width !== place.clientWidth;
          if (!printing && [...drawn].some(changed)) { again(); }
        }, 100);
      });
      dark.addEventListener("change", again);
      window.addEventListener("beforeprint", function () {
        printing = true;
        const now = places.filter(printed || (() => true));
        for (const place of now) { near.unobserve(place); }
        drawAll(now, figureOf);
      });
      window.addEventListener("afterprint", function () { printing = false; again(); });
    },
  };
})();
