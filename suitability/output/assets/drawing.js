"use strict";
// What the charts of every page share: a phone, the width of paper, and colours on a dark screen.
const drawing = (function () {
  const palette = @DARK@;
  const narrow = 640;
  const paper = 690;  // px: what A4 and Letter leave between margins of 12 mm, at 96 px an inch
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  let printing = false;

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

  // On a phone, names of groups and spots stand in two lines, and words that do not fit into their
  // bar are left out; pixels of a letter of 10 px are taken as 5.5.
  function rowsOnPhone(figure, width) {
    const axis = figure.layout.yaxis;
    const lines = [];
    if (axis.type === "category" && axis.categoryarray) {
      axis.tickvals = axis.categoryarray;
      axis.ticktext = axis.categoryarray.map((label) => label.replace(", ", ",<br>"));
      axis.tickfont = { size: 10 };
      lines.push(...axis.ticktext.flatMap((label) => label.split("<br>")));
    }
    const pixels = (width - 24 - 5.5 * Math.max(0, ...lines.map((line) => line.length))) / 365;
    for (const trace of figure.data) {
      if (trace.type === "bar" && trace.base && trace.text) {
        trace.insidetextfont.size = 10;
        trace.text = trace.text.map((text, at) => text.length * 5.5 > trace.x[at] * pixels ? "" : text);
      }
    }
  }

  return {
    narrow,
    rowsOnPhone,
    printing: () => printing,
    width: (place) => printing ? paper : place.clientWidth,
    draw(place, figure) {
      if (printing) { figure.layout.width = paper; } else if (dark.matches) { figure = themed(figure, ""); }
      Plotly.react(place, figure.data, figure.layout, { responsive: !printing, displayModeBar: false });
    },
    // Calls when all charts must be drawn again; `first` before paper is drawn for.
    onChange(again, first) {
      let wasNarrow = document.body.clientWidth < narrow;
      window.addEventListener("resize", function () {
        const isNarrow = document.body.clientWidth < narrow;
        if (isNarrow !== wasNarrow) { wasNarrow = isNarrow; again(); }
      });
      dark.addEventListener("change", again);
      window.addEventListener("beforeprint", function () { printing = true; (first || again)(); });
      window.addEventListener("afterprint", function () { printing = false; again(); });
    },
  };
})();
