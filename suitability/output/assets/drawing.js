"use strict";
// What the charts of every page share: a phone, the width of paper, and colours on a dark screen.
const chartKinds = {};  // by name: what is particular to a kind of chart
const drawing = (function () {
  const palette = @DARK@;
  const narrow = 640;
  const usualHeight = 450;
  const paper = 690;  // px: what A4 and Letter leave between margins of 12 mm, at 96 px an inch
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const shown = new Set();
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

  // Widths are read before the first chart is drawn, and given to the plotting script: after each
  // chart, asking for one lays out the whole page anew.
  const widthsOf = (places) => places.map((place) => printing ? paper : place.clientWidth);

  function fitAgain() {
    const places = [...shown].filter((place) => place.clientWidth > 0);
    const widths = widthsOf(places);
    places.forEach(function (place, at) {
      if (place.layout.width !== widths[at]) { Plotly.relayout(place, { width: widths[at] }); }
    });
  }

  return {
    narrow,
    rowsOnPhone,
    printing: () => printing,
    // Draws in each place the figure that is made for it and its width.
    drawAll(places, figureOf) {
      const widths = widthsOf(places);
      const figures = places.map(function (place, at) {
        const figure = figureOf(place, widths[at]);
        if (widths[at] > 0) { figure.layout.width = widths[at]; }
        figure.layout.height = figure.layout.height || usualHeight;
        place.style.minHeight = "0";
        place.style.height = figure.layout.height + "px";  // what is outside need not be laid out anew
        return !printing && dark.matches ? themed(figure, "") : figure;
      });
      places.forEach(function (place, at) {
        Plotly.react(place, figures[at].data, figures[at].layout, { displayModeBar: false });
        shown.add(place);
      });
    },
    // Calls when all charts must be drawn again; `first` before paper is drawn for.
    onChange(again, first) {
      let wasNarrow = document.body.clientWidth < narrow;
      let waiting = null;
      window.addEventListener("resize", function () {
        const isNarrow = document.body.clientWidth < narrow;
        if (isNarrow !== wasNarrow) { wasNarrow = isNarrow; again(); }
        clearTimeout(waiting);
        waiting = setTimeout(fitAgain, 100);
      });
      dark.addEventListener("change", again);
      window.addEventListener("beforeprint", function () { printing = true; (first || again)(); });
      window.addEventListener("afterprint", function () { printing = false; again(); });
    },
  };
})();
