"use strict";
(function () {
  const narrow = 640;
  function fitted(item, width) {
    const figure = JSON.parse(JSON.stringify(item.figure));
    if (width >= narrow) { return figure; }
    figure.layout.font.size = 10;
    for (const note of figure.layout.annotations || []) {
      if (note.yref === "paper") { note.text = note.text.slice(0, 1); }
    }
    for (const trace of figure.data) {
      if (trace.textfont) { trace.textfont.size = 9; }
      if (trace.type === "bar") {
        const pixels = 0.6 * width / 365;
        trace.insidetextfont.size = 10;
        trace.text = trace.text.map((text, at) => text.length * 6 > trace.x[at] * pixels ? "" : text);
      }
    }
    return figure;
  }
  function draw(item) {
    const place = document.getElementById(item.id);
    const figure = fitted(item, place.clientWidth);
    Plotly.react(place, figure.data, figure.layout, { responsive: true, displayModeBar: false });
  }
  const items = JSON.parse(document.getElementById("figures").textContent);
  items.forEach(draw);
  let wasNarrow = document.body.clientWidth < narrow;
  window.addEventListener("resize", function () {
    const isNarrow = document.body.clientWidth < narrow;
    if (isNarrow !== wasNarrow) { wasNarrow = isNarrow; items.forEach(draw); }
  });
})();
